// The loop and the speed ladder: what the controls say, in beats and per cent.
import { tidy } from './beats.js';
import { byId } from './dom.js';

/** @typedef {import('../types/index').Range} Range */

const number = (/** @type {string} */ id, /** @type {number} */ otherwise) => {
  const x = Number(byId(id).value);
  return byId(id).value !== '' && Number.isFinite(x) ? x : otherwise;
};

const controls = ['loop', 'from-bar', 'from-beat', 'to-bar', 'to-beat', 'loop-rest', 'count-every', 'ladder', 'ladder-start', 'ladder-step', 'ladder-rounds'];

export class Practise {
  changed = () => {}; // the loop or the ladder is another now
  /** @type {number[]} */
  #bars = []; // beats at which bars start
  #beats = 0; // of the whole piece
  /** @type {number | null} */
  #first = null; // the first of two tapped notes

  constructor() {
    for (const id of controls) {
      byId(id).addEventListener('change', () => {
        if (id === 'ladder' && byId('ladder').checked) this.on = true;
        this.changed();
      });
    }
    byId('whole').addEventListener('click', () => { this.set(0, this.#beats); this.changed(); });
  }

  /**
   * Learns how long a piece is and where its bars are.
   * @param {number} beats
   * @param {number[]} bars
   */
  learn(beats, bars) {
    const before = this.#beats === 0 || this.whole ? null : this.range;
    this.#bars = bars;
    this.#beats = beats;
    for (const node of document.querySelectorAll('.by-bar')) /** @type {HTMLElement} */ (node).hidden = bars.length === 0;
    if (before && before.from < beats) this.set(before.from, Math.min(before.to, beats));
    else this.set(0, beats);
  }

  /** Another tab has nothing to do with the loop of the one before. */
  clear() {
    this.on = false;
    byId('ladder').checked = false;
    this.#first = null;
    this.#bars = [];
    this.#beats = 0;
    for (const id of ['from-bar', 'from-beat', 'to-bar', 'to-beat']) byId(id).value = '';
  }

  /** @returns {boolean} */
  get on() { return byId('loop').checked; }
  set on(value) { byId('loop').checked = value; }

  /** Beats of silence between two rounds. */
  get rest() { return Math.max(0, Math.min(16, number('loop-rest', 0))); }
  /** @returns {boolean} whether every round is counted in */
  get countEvery() { return byId('count-every').checked; }

  /**
   * The loop in beats of the piece, the end excluded; null where it is empty.
   * @returns {Range | null}
   */
  get range() {
    const from = this.#beatOf(number('from-bar', 1), number('from-beat', 1));
    const to = this.#endOf(number('to-bar', this.#bars.length), byId('to-beat').value);
    return to > from ? { from, to: Math.min(to, this.#beats) } : null;
  }

  /** Whether it goes round the whole piece, which needs no marks. */
  get whole() { return this.range?.from === 0 && this.range.to >= this.#beats - 1e-6; }

  /**
   * @param {number} from
   * @param {number} to
   */
  set(from, to) {
    const [fromBar, fromBeat] = this.#placeOf(from);
    const [toBar] = this.#placeOf(to - 1e-4); // the last beat that is in it
    byId('from-bar').value = fromBar;
    byId('from-beat').value = tidy(fromBeat, 3);
    byId('to-bar').value = toBar;
    byId('to-beat').value = tidy(to - this.#start(toBar), 3);
  }

  /**
   * Turns the loop on, from a beat to another.
   * @param {Range} range
   */
  loop({ from, to }) {
    this.set(from, to);
    this.on = true;
    this.changed();
  }

  /**
   * Two taps set the loop; says what the next one does.
   * @param {import('../types/index').Note} note
   */
  tap(note) {
    const end = note.start_beat + Math.max(note.beats, 0.25);
    if (this.#first === null) {
      this.#first = note.start_beat;
      return 'Now tap the last note of the loop.';
    }
    const from = Math.min(this.#first, note.start_beat);
    const to = Math.max(end, this.#first + 0.25);
    this.#first = null;
    this.loop({ from, to });
    return 'The loop is set.';
  }

  get ladder() {
    if (!byId('ladder').checked) return null;
    return { start: number('ladder-start', 60), step: number('ladder-step', 5), rounds: Math.max(1, number('ladder-rounds', 2)) };
  }

  /** @param {number} bar */
  #start(bar) {
    if (this.#bars.length === 0) return 0;
    if (bar < 1) return 0; // the pick-up
    return this.#bars[Math.min(bar, this.#bars.length) - 1];
  }

  /**
   * @param {number} bar
   * @param {number} beat
   */
  #beatOf(bar, beat) { return Math.max(0, this.#start(bar) + beat - 1); }

  // The end of a loop: after that beat of the bar, or after the whole bar.
  /**
   * @param {number} bar
   * @param {string} beat
   */
  #endOf(bar, beat) {
    if (beat !== '') return this.#start(bar) + Number(beat);
    return this.#bars.length && bar < this.#bars.length ? this.#start(bar + 1) : this.#beats;
  }

  /**
   * @param {number} beat
   * @returns {[number, number]}
   */
  #placeOf(beat) {
    let bar = 0;
    while (bar < this.#bars.length && this.#bars[bar] <= beat + 1e-6) bar++;
    return [bar, beat - this.#start(bar) + 1];
  }
}
