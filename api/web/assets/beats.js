// Beats of the piece and seconds of a sound, one from the other.

const whole = (x) => Math.abs(x - Math.round(x)) < 1e-6;

// How the beats of a score lie in its sound. Swing leaves whole beats alone, so
// the first note on one tells where they lie; from is the first beat played.
export function beatsOf(score, from = 0, rounds = 1) {
  const beat = 60 / score.tempo;
  const timed = score.notes.filter((n) => n.beats > 0);
  const anchor = timed.find((n) => whole(n.start_beat)) ?? timed[0];
  const zero = anchor ? anchor.start - (anchor.start_beat - from) * beat : 0;
  const length = (score.beats / rounds) * beat;
  return {
    zero, length, beat, from,
    seconds: (b) => zero + (b - from) * beat,
    at: (s) => (s < zero ? from : from + ((s - zero) % length) / beat),
  };
}

// The last note that has begun by then; notes are in order of start.
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

// What tells one sounding of a note from another.
export const keyOf = (n) => n.line + ':' + n.column + ':' + n.start_beat;

export const clockText = (s) => Math.floor(s / 60) + ':' + String(Math.floor(s % 60)).padStart(2, '0');
