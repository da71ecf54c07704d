// What is asked for, as the form has it.

const numbers = new Set(['tempo', 'swing', 'a4', 'position', 'room', 'loudness', 'count_in']);

export class Settings {
  #form;
  #kept; // what the address asked for and the form has no field for

  constructor(form) {
    this.#form = form;
    this.#kept = JSON.parse(form.dataset.state || '{}');
  }

  // The part to be looped that the address asked for, in beats, or null.
  get loop() {
    const { from, to } = this.#kept;
    return typeof from === 'number' && typeof to === 'number' ? { from, to } : null;
  }

  // The whole request, without what is left as it is.
  get request() {
    const out = { ...this.#kept };
    for (const name of ['from', 'to', 'repeat', 'format']) delete out[name];
    for (const field of this.#form.elements) {
      if (!field.name) continue;
      const value = field.value;
      if (value === '' && field.name !== 'tab') {
        if (typeof out[field.name] !== 'object') delete out[field.name];
      } else out[field.name] = read(field.name, value);
    }
    return out;
  }
}

function read(name, value) {
  if (name === 'click' || name === 'strict') return value === 'true';
  return numbers.has(name) ? Number(value) : value;
}
