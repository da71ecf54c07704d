// What is asked for, as the form has it.

const numbers = new Set(['tempo', 'swing', 'a4', 'position', 'room', 'loudness', 'count_in']);

export class Settings {
  #form;
  #kept; // what the address asked for and the form has no field for

  constructor(form) {
    this.#form = form;
    this.#kept = JSON.parse(form.dataset.state || '{}');
  }

  // The part that the address asked for, as it is written there.
  get part() {
    const { from, to } = this.#kept;
    return { ...(from !== undefined && { from }), ...(to !== undefined && { to }) };
  }

  // The same as beats of a piece; null where there is none.
  partIn(score) {
    const { from, to } = this.part;
    if (from === undefined && to === undefined) return null;
    const begin = edge(from, 0, (run) => run[0].start_beat, score);
    const end = edge(to, score.beats, (run) => run.at(-1).start_beat + run.at(-1).beats, score, begin);
    return end > begin ? { from: begin, to: end } : null;
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

// An edge is a beat or a line, "L3": then the first time it is played after some
// beat says which.
function edge(value, otherwise, ofRun, score, after = 0) {
  if (typeof value !== 'string') return value ?? otherwise;
  const line = Number(value.slice(1));
  const first = score.notes.findIndex((n) => n.line === line && n.start_beat >= after - 1e-6);
  if (first < 0) return otherwise;
  const rest = score.notes.slice(first);
  const next = rest.findIndex((n) => n.line !== line);
  return ofRun(next < 0 ? rest : rest.slice(0, next));
}

function read(name, value) {
  if (name === 'click' || name === 'strict') return value === 'true';
  return numbers.has(name) ? Number(value) : value;
}
