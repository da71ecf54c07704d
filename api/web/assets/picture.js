// The picture of the score, holes against time: the second view, read only when
// somebody looks at it. Its notes can be lit, tapped and drawn over.
import { keyOf } from './beats.js';
import { bringIntoView, byId } from './dom.js';
import { secondAt, wireDrag } from './drag.js';
import { Strips } from './strips.js';

/** @typedef {import('../types/index').Note} Note */
/** @typedef {import('../types/index').Range} Range */

export class Picture {
  /** @type {(note: Note) => void} */
  tapped = () => {};
  /** @type {(from: number, to: number, done: boolean) => void} */
  dragged = () => {}; // from beat, to beat, whether that is the end of it
  /** @type {HTMLElement} */
  #box = byId('picture');
  #strips = new Strips();
  /** @type {Map<string, number>} */
  #indices = new Map(); // of a note, by what tells it from others
  /** @type {Element | null} */
  #lit = null;
  /** @type {Note[]} */
  #notes = [];
  /** @type {ReturnType<import('./beats.js').beatsOf> | null} */
  #beats = null;
  /** @type {Range | null} */
  #range = null;

  constructor() {
    wireDrag(this.#box, (a, b, done) => this.#stretch(a, b, done));
    this.#strips.filled = (groups) => groups.forEach((g) => this.#mark(g));
    this.#box.addEventListener('click', (e) => {
      const group = /** @type {Element} */ (e.target).closest('.note');
      if (group) this.tapped(this.#noteOf(group));
    });
  }

  /**
   * @param {string} svg
   * @param {import('./tune.js').Tune} tune
   */
  draw(svg, { score, beats }) {
    this.#beats = beats;
    this.#notes = score.notes;
    this.#lit = null;
    this.#indices = new Map(score.notes.map((n, i) => [keyOf(n), i]));
    this.#box.replaceChildren(...this.#strips.cut(svg));
  }

  clear() {
    this.#lit = null;
    this.#notes = [];
    this.#indices = new Map();
    this.#strips.clear();
    this.#box.replaceChildren();
  }

  /** @param {Element} group */
  #noteOf(group) { return this.#notes[Number(/** @type {SVGElement} */ (group).dataset.index)]; }

  // A stretch that was drawn over the picture, in whole beats.
  /**
   * @param {import('./drag.js').Point} a
   * @param {import('./drag.js').Point} b
   * @param {boolean} done
   */
  #stretch(a, b, done) {
    const { beats } = { beats: this.#beats };
    if (!beats) return;
    const [from, to] = [a, b].map((p) => beats.at(secondAt(this.#box, p))).sort((x, y) => x - y);
    this.dragged(Math.floor(from + 1e-3), Math.max(Math.floor(from + 1e-3) + 1, Math.ceil(to - 1e-3)), done);
  }

  /** @param {Note | null} note */
  light(note) {
    const index = note ? this.#indices.get(keyOf(note)) : undefined;
    const group = index === undefined ? null : this.#strips.noteAt(index);
    if (group === this.#lit) return;
    this.#lit?.classList.remove('lit');
    group?.classList.add('lit');
    const strip = /** @type {SVGElement | null} */ (group)?.ownerSVGElement;
    if (strip && this.#lit?.parentNode !== group?.parentNode && this.#onScreen()) bringIntoView(strip);
    this.#lit = group;
  }

  // Follows only where the reader already looks at the picture.
  #onScreen() {
    const { top, bottom } = this.#box.getBoundingClientRect();
    return top < innerHeight * 0.5 && bottom > innerHeight * 0.3;
  }

  /**
   * @param {number | null} from
   * @param {number} to
   */
  range(from, to = 0) {
    this.#range = from === null ? null : { from, to };
    for (const group of this.#box.querySelectorAll('.note')) this.#mark(group);
  }

  /** @param {Element} group */
  #mark(group) {
    const beat = this.#noteOf(group).start_beat;
    group.classList.toggle('looped', this.#range !== null && beat >= this.#range.from - 1e-6 && beat < this.#range.to - 1e-6);
  }
}

/**
 * The beats at which bars start, of the first round, as a picture has them.
 * @param {string} svg
 */
export const barsOf = (svg) => [...svg.matchAll(/ data-bar="\d+" data-beat="([^"]*)"/g)].map((m) => Number(m[1]));
