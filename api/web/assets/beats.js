// Beats of the piece and seconds of a sound, one from the other.

/** @typedef {import('../types/index').Note} Note */

const whole = (/** @type {number} */ x) => Math.abs(x - Math.round(x)) < 1e-6;

/**
 * How the beats of a score lie in its sound. Swing leaves whole beats alone, so
 * the first note on one tells where they lie. What follows the last beat, the
 * notes dying away, is the end of the tune.
 * @param {{tempo: number, beats: number, notes: {beats: number, start: number, start_beat: number}[]}} score
 * @param {number} from the first beat that is played
 * @param {number} rounds how often the score goes round
 */
export function beatsOf(score, from = 0, rounds = 1) {
  const beat = 60 / score.tempo;
  const timed = score.notes.filter((n) => n.beats > 0);
  const anchor = timed.find((n) => whole(n.start_beat)) ?? timed[0];
  const zero = anchor ? anchor.start - (anchor.start_beat - from) * beat : 0;
  const length = (score.beats / rounds) * beat;
  return {
    zero, length, beat, from,
    seconds: (/** @type {number} */ b) => zero + (b - from) * beat,
    at: (/** @type {number} */ s) => {
      const played = Math.max(0, s - zero);
      return from + (played < length * rounds - 1e-9 ? played % length : length) / beat;
    },
  };
}

/**
 * The last note that has begun by then; notes are in order of start.
 * @param {Note[]} notes
 * @param {number} seconds
 */
export function noteAt(notes, seconds) {
  let low = 0;
  let high = notes.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (notes[middle].start <= seconds) low = middle + 1;
    else high = middle;
  }
  const found = notes[low - 1];
  return found && seconds < found.start + Math.max(found.seconds, 0.05) ? found : null;
}

/**
 * What tells one sounding of a note from another.
 * @param {Note} n
 */
export const keyOf = (n) => n.line + ':' + n.column + ':' + n.start_beat;

/**
 * What tells one written note from another.
 * @param {{line: number, column: number}} n
 */
export const placeOf = (n) => n.line + ':' + n.column;

export const clockText = (/** @type {number} */ s) => Math.floor(s / 60) + ':' + String(Math.floor(s % 60)).padStart(2, '0');

/**
 * A number without what nobody reads.
 * @param {number} x
 * @param {number} digits
 */
export const tidy = (x, digits = 2) => Number(x.toFixed(digits));
