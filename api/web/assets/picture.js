// The picture of the score, put into the page so that its notes can be lit,
// tapped and drawn over.
import { bringIntoView, byId } from './dom.js';
import { keyOf } from './beats.js';
import { secondAt, wireDrag } from './drag.js';
import { Strips } from './strips.js';

export class Picture {
  tapped = () => {};
  dragged = () => {}; // from beat, to beat, whether that is the end of it
  bars = []; // beats at which bars start, of the first round
  #box = byId('picture');
  #strips = new Strips();
  #indices = new Map(); // of a note, by what tells it from others
  #lit = null;
  #notes = [];
  #beats = null;
  #range = null;

  constructor() {
    wireDrag(this.#box, (a, b, done) => this.#stretch(a, b, done));
    this.#strips.filled = (groups) => groups.forEach((g) => this.#mark(g));
    this.#box.addEventListener('click', (e) => {
      const group = e.target.closest('.note');
      if (group) this.tapped(this.#noteOf(group));
    });
  }

  draw(svg, { score, beats }) {
    this.#beats = beats;
    this.#notes = score.notes;
    this.#lit = null;
    this.#indices = new Map(score.notes.map((n, i) => [keyOf(n), i]));
    this.bars = [...svg.matchAll(/ data-bar="\d+" data-beat="([^"]*)"/g)].map((m) => Number(m[1]));
    this.#box.replaceChildren(...this.#strips.cut(svg));
  }

  #noteOf(group) { return this.#notes[Number(group.dataset.index)]; }

  // A stretch that was drawn over the picture, in whole beats.
  #stretch(a, b, done) {
    const [from, to] = [a, b].map((p) => this.#beats.at(secondAt(this.#box, p))).sort((x, y) => x - y);
    this.dragged(Math.floor(from + 1e-3), Math.max(Math.floor(from + 1e-3) + 1, Math.ceil(to - 1e-3)), done);
  }

  light(note) {
    const index = note ? this.#indices.get(keyOf(note)) : undefined;
    const group = index === undefined ? null : this.#strips.noteAt(index);
    if (group === this.#lit) return;
    this.#lit?.classList.remove('lit');
    group?.classList.add('lit');
    if (group && this.#lit?.parentNode !== group.parentNode && this.#onScreen()) bringIntoView(group.ownerSVGElement);
    this.#lit = group;
  }

  // Follows only where the reader already looks at the picture.
  #onScreen() {
    const { top, bottom } = this.#box.getBoundingClientRect();
    return top < innerHeight * 0.5 && bottom > innerHeight * 0.3;
  }

  range(from, to) {
    this.#range = from === null ? null : { from, to };
    for (const group of this.#box.querySelectorAll('.note')) this.#mark(group);
  }

  #mark(group) {
    const beat = this.#noteOf(group).start_beat;
    group.classList.toggle('looped', this.#range !== null && beat >= this.#range.from - 1e-6 && beat < this.#range.to - 1e-6);
  }
}
