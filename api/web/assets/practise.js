// The loop and the speed ladder: what the controls say, in beats and per cent.
import { byId } from './dom.js';

const number = (id, otherwise) => {
  const x = Number(byId(id).value);
  return byId(id).value !== '' && Number.isFinite(x) ? x : otherwise;
};

export class Practise {
  changed = () => {}; // the loop or the ladder is another now
  #bars = []; // beats at which bars start
  #beats = 0; // of the whole piece
  #first = null; // the first of two tapped notes

  constructor() {
    for (const id of ['loop', 'from-bar', 'from-beat', 'to-bar', 'to-beat', 'ladder', 'ladder-start', 'ladder-step', 'ladder-rounds']) {
      byId(id).addEventListener('change', () => this.changed());
    }
    byId('whole').addEventListener('click', () => { this.set(0, this.#beats); this.changed(); });
  }

  // Learns how long a piece is and where its bars are.
  learn(beats, bars) {
    const first = this.#beats === 0;
    const full = this.range && this.range.from === 0 && this.range.to >= this.#beats;
    this.#bars = bars;
    this.#beats = beats;
    for (const node of document.querySelectorAll('.by-bar')) node.hidden = bars.length === 0;
    if (first || full || this.range === null) this.set(0, beats);
  }

  get on() { return byId('loop').checked; }
  set on(value) { byId('loop').checked = value; }

  // The loop in beats of the piece, the end excluded; null where it is empty.
  get range() {
    const from = this.#beatOf(number('from-bar', 1), number('from-beat', 1));
    const to = this.#endOf(number('to-bar', this.#bars.length), byId('to-beat').value);
    return to > from ? { from, to: Math.min(to, this.#beats) } : null;
  }

  // Whether it goes round the whole piece, which needs no marks.
  get whole() { return this.range?.from === 0 && this.range.to >= this.#beats - 1e-6; }

  set(from, to) {
    const [fromBar, fromBeat] = this.#placeOf(from);
    const [toBar, toBeat] = this.#placeOf(to - 1e-4); // the last beat that is in it
    Object.assign(byId('from-bar'), { value: fromBar });
    Object.assign(byId('from-beat'), { value: tidy(fromBeat) });
    Object.assign(byId('to-bar'), { value: toBar });
    byId('to-beat').value = tidy(to - this.#start(toBar));
  }

  // Two taps set the loop; says what the next one does.
  tap(note) {
    const end = note.start_beat + Math.max(note.beats, 0.25);
    if (this.#first === null) {
      this.#first = note.start_beat;
      return 'Now tap the last note of the loop.';
    }
    const from = Math.min(this.#first, note.start_beat);
    this.set(from, Math.max(end, this.#first + 0.25));
    this.#first = null;
    this.on = true;
    this.changed();
    return 'The loop is set.';
  }

  get ladder() {
    if (!byId('ladder').checked) return null;
    return { start: number('ladder-start', 60), step: number('ladder-step', 5), rounds: Math.max(1, number('ladder-rounds', 2)) };
  }

  #start(bar) {
    if (this.#bars.length === 0) return 0;
    if (bar < 1) return 0; // the pick-up
    return this.#bars[Math.min(bar, this.#bars.length) - 1];
  }

  #beatOf(bar, beat) { return Math.max(0, this.#start(bar) + beat - 1); }

  // The end of a loop: after that beat of the bar, or after the whole bar.
  #endOf(bar, beat) {
    if (beat !== '') return this.#start(bar) + Number(beat);
    return this.#bars.length && bar < this.#bars.length ? this.#start(bar + 1) : this.#beats;
  }

  #placeOf(beat) {
    let bar = 0;
    while (bar < this.#bars.length && this.#bars[bar] <= beat + 1e-6) bar++;
    return [bar, beat - this.#start(bar) + 1];
  }
}

const tidy = (x) => Number(x.toFixed(3));
