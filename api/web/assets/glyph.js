// The shape of a note on the breath line, in tenths of an em. Blown notes stand on
// the line, open and rounded; drawn notes hang below it, filled. Whatever is
// special about a note shows at its outer edge.

/** @typedef {import('../types/index').Note} Note */

export const high = 21; // of a plain note, from the line to its outer edge
export const step = 4; // that a semitone of a bend lies further out
const inset = 1; // between a note and its neighbour
const slope = 9; // length of the way into a bend, or out of it
const small = 0.62; // a grace note beside the others

/**
 * @typedef {object} Shape
 * @property {number} width of the cell
 * @property {'blow' | 'draw'} breath
 * @property {number} begin semitones of bend at its beginning
 * @property {number} depth semitones of bend it settles at
 * @property {number} end semitones of bend at its end
 * @property {boolean} shake
 * @property {boolean} grace
 * @property {boolean} tie it goes on from before a bar line
 */

/**
 * The outline of a note as the d of a path: closed, with the line as its base.
 * @param {Shape} shape
 */
export function outline({ width, breath, begin, depth, end, shake, grace, tie }) {
  const side = breath === 'draw' ? 1 : -1;
  const tall = high * (grace ? small : 1);
  const left = tie ? 0 : inset;
  const right = width - inset;
  const y = (/** @type {number} */ semitones) => round(side * (tall + step * semitones));
  const radius = Math.min(breath === 'draw' ? 2 : 7, (right - left) / 2, tall / 2);
  const way = Math.min(slope, (right - left - 2 * radius) / (end === depth ? 1 : 2));
  const into = left + radius + (begin === depth ? 0 : Math.max(0, way));
  const away = right - radius - (end === depth ? 0 : Math.max(0, way));
  return [
    `M${round(left)} 0`, `V${round(side * (tall + step * begin - radius))}`,
    `Q${round(left)} ${y(begin)} ${round(left + radius)} ${y(begin)}`,
    ...(begin === depth ? [] : [`L${round(into)} ${y(depth)}`]),
    ...(shake ? wave(into, away, side, tall + step * depth) : [`H${round(away)}`]),
    ...(end === depth ? [] : [`L${round(right - radius)} ${y(end)}`]),
    `Q${round(right)} ${y(end)} ${round(right)} ${round(side * (tall + step * end - radius))}`, 'V0Z',
  ].join('');
}

// The edge of a shake: one wave after the other, as many as there is room for.
/**
 * @param {number} from
 * @param {number} to
 * @param {number} side
 * @param {number} y
 */
function wave(from, to, side, y) {
  const count = Math.max(2, Math.round((to - from) / 5));
  const half = round((to - from) / count / 2);
  const up = round(2.6 * side);
  return [`L${round(from)} ${round(side * y)}`, ...Array.from({ length: count }, () => `q${round(half / 2)} ${up} ${half} 0t${half} 0`)];
}

/**
 * How far the outer edge of a note lies from the line.
 * @param {Note} note
 */
export function reach(note) {
  const deepest = Math.max(0, ...note.voices.map((v) => (v.technique === 'bend' ? v.semitones : 0)));
  return high * (note.role === 'grace' ? small : 1) + step * deepest + (note.shake ? 2 : 0);
}

/**
 * Semitones of bend at which a note begins, settles and ends. A pitch that moves
 * on into the next note of its hole takes the edge along.
 * @param {Note} note
 * @param {Note | null} next the note that its pitch glides on to
 */
export function depths(note, next) {
  const v = note.voices[0];
  const depth = v.technique === 'bend' ? v.semitones : 0;
  const moved = v.from_hz > 0 && v.hz > 0 ? Math.abs(12 * Math.log2(v.from_hz / v.hz)) : 0;
  const begin = v.technique === 'bend' ? Math.max(0, depth - Math.round(moved)) : 0;
  const to = next?.voices[0];
  return { begin, depth, end: to ? (to.technique === 'bend' ? to.semitones : 0) : depth };
}

/**
 * The note in the page's own spelling, with its sign where that leaves it out.
 * @param {Note} note
 */
export function label(note) {
  const text = note.text.replace(/^[-‐‑‒–—―−](?=\d)/, '−').replace(/[~\s]+$/, '');
  return note.voices[0]?.breath === 'draw' && /^\d+$/.test(text) ? '−' + text : text;
}

/**
 * The note aloud: "draw 3, bent by 2, A4".
 * @param {Note} note
 */
export function spoken(note) {
  const [v] = note.voices;
  const breath = (v.technique === 'over' ? 'over' : '') + v.breath;
  const holes = note.voices.map(({ hole }) => hole).sort((a, b) => a - b);
  return [
    ...(note.role === 'grace' ? ['grace note'] : note.role === 'filler' ? ['in brackets'] : []),
    `${breath} ${holes.join(' and ')}`,
    ...(v.technique === 'bend' ? [`bent by ${v.semitones}`] : []),
    note.voices.map(({ name }) => name).join(' and '),
    ...(note.shake ? ['shake'] : []),
    ...(holes.length > 1 ? ['written ' + label(note)] : []),
  ].join(', ');
}

const round = (/** @type {number} */ x) => Math.round(x * 100) / 100;
