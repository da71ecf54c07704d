// What is asked for, as the form has it.

/** @typedef {import('../types/index').Request} Request */
/** @typedef {import('../types/index').Score} Score */
/** @typedef {import('../types/index').Range} Range */

const numbers = new Set(['tempo', 'swing', 'a4', 'position', 'room', 'loudness', 'count_in']);

export class Settings {
  #form;
  /** @type {Record<string, any>} */
  #kept; // what the address asked for and the form has no field for

  /** @param {HTMLFormElement} form */
  constructor(form) {
    this.#form = form;
    this.#kept = JSON.parse(form.dataset.state || '{}');
    delete this.#kept.tab;
  }

  /** The part that the address asked for, as it is written there. */
  get part() {
    const { from, to } = this.#kept;
    return { ...(from !== undefined && { from }), ...(to !== undefined && { to }) };
  }

  /**
   * The whole request, without what is left as it is.
   * @returns {Request}
   */
  get request() {
    /** @type {any} */
    const out = { ...this.#kept };
    for (const name of ['from', 'to', 'repeat', 'format']) delete out[name];
    for (const field of /** @type {Iterable<any>} */ (this.#form.elements)) {
      if (!field.name) continue;
      const value = field.value;
      if (value === '' && field.name !== 'tab') {
        if (typeof out[field.name] !== 'object') delete out[field.name];
      } else out[field.name] = read(field.name, value);
    }
    out.unread ??= 'skip'; // a page plays what it can, and shows what it cannot read
    return out;
  }

  /** The request without its tab: what a kept tab has beside its text. */
  get beside() {
    const { tab, ...rest } = this.request;
    return rest;
  }

  /**
   * Sets the fields to what a request asks for, all others to nothing.
   * @param {Record<string, any>} request
   */
  show(request) {
    const { unread } = this.#kept; // how doubtful tabs are treated is a matter of the page, not of a tab
    this.#kept = unread ? { unread } : {};
    for (const field of /** @type {Iterable<any>} */ (this.#form.elements)) {
      if (field.name && field.name !== 'tab') field.value = '';
    }
    for (const [name, value] of Object.entries(request)) {
      const field = /** @type {any} */ (this.#form.elements.namedItem(name));
      if (!field || typeof value === 'object') this.#kept[name] = value;
      else if (name !== 'tab') field.value = String(value);
    }
  }
}

/**
 * The part of an address as beats of a piece; null where there is none.
 * @param {{from?: any, to?: any}} part
 * @param {Score} score
 * @returns {Range | null}
 */
export function partIn({ from, to }, score) {
  if (from === undefined && to === undefined) return null;
  const begin = edge(from, 0, (run) => run[0].start_beat, score);
  const end = edge(to, score.beats, (run) => run[run.length - 1].start_beat + run[run.length - 1].beats, score, begin);
  return end > begin ? { from: begin, to: end } : null;
}

// An edge is a beat or a line, "L3": then the first time it is played after some
// beat says which.
/**
 * @param {any} value
 * @param {number} otherwise
 * @param {(run: Score['notes']) => number} ofRun
 * @param {Score} score
 * @param {number} after
 */
function edge(value, otherwise, ofRun, score, after = 0) {
  if (typeof value !== 'string') return value ?? otherwise;
  const line = Number(value.slice(1));
  const first = score.notes.findIndex((n) => n.line === line && n.start_beat >= after - 1e-6);
  if (first < 0) return otherwise;
  const rest = score.notes.slice(first);
  const next = rest.findIndex((n) => n.line !== line);
  return ofRun(next < 0 ? rest : rest.slice(0, next));
}

/**
 * The beats of a row in the pass that a note belongs to, with the rests after it.
 * @param {Score} score
 * @param {import('../types/index').Note} note
 * @returns {Range}
 */
export function rowRange(score, note) {
  const notes = score.notes.filter((n) => n.beats > 0);
  const at = Math.max(0, notes.findIndex((n) => n.start_beat >= note.start_beat - 1e-6 && n.line === note.line));
  let first = at;
  let last = at;
  const goesOn = (/** @type {number} */ a, /** @type {number} */ b) => notes[b]?.line === note.line && notes[a]?.line === note.line && notes[a].column < notes[b].column;
  while (goesOn(first - 1, first)) first--;
  while (goesOn(last, last + 1)) last++;
  return { from: notes[first].start_beat, to: notes[last + 1]?.start_beat ?? score.beats };
}

/**
 * @param {string} name
 * @param {string} value
 */
function read(name, value) {
  if (name === 'click' || name === 'strict') return value === 'true';
  return numbers.has(name) ? Number(value) : value;
}
