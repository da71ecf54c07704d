// The picture of the score, put into the page so that its notes can be lit and
// tapped.
import { bringIntoView, byId } from './dom.js';
import { keyOf } from './beats.js';
import { secondAt, wireDrag } from './drag.js';

export class Picture {
  tapped = () => {};
  dragged = () => {}; // from beat, to beat, whether that is the end of it
  bars = []; // beats at which bars start, of the first round
  #box = byId('picture');
  #groups = new Map();
  #lit = null;
  #notes = [];
  #beats = null;

  constructor() {
    wireDrag(this.#box, (a, b, done) => this.#stretch(a, b, done));
    this.#box.addEventListener('click', (e) => {
      const group = e.target.closest('.note');
      if (group) this.tapped(this.#notes[Number(group.dataset.index)]);
    });
  }

  // SVG from our own server, read as XML: what is not well formed is not shown.
  draw(svg, { score, beats }) {
    this.#beats = beats;
    const doc = new DOMParser().parseFromString(svg, 'image/svg+xml');
    if (doc.documentElement.nodeName !== 'svg') return;
    this.#notes = score.notes;
    this.#lit = null;
    this.#groups = new Map();
    const root = document.importNode(doc.documentElement, true);
    for (const g of root.querySelectorAll('.note')) this.#groups.set(keyOf(score.notes[Number(g.dataset.index)]), g);
    this.bars = [...root.querySelectorAll('[data-bar]')].map((b) => Number(b.dataset.beat));
    this.#box.replaceChildren(...cut(root));
  }

  // A stretch that was drawn over the picture, in whole beats.
  #stretch(a, b, done) {
    const [from, to] = [a, b].map((p) => this.#beats.at(secondAt(this.#box, p))).sort((x, y) => x - y);
    this.dragged(Math.floor(from + 1e-3), Math.max(Math.floor(from + 1e-3) + 1, Math.ceil(to - 1e-3)), done);
  }

  light(note) {
    const group = note ? this.#groups.get(keyOf(note)) ?? null : null;
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
    for (const [key, group] of this.#groups) {
      const beat = Number(key.split(':')[2]);
      group.classList.toggle('looped', from !== null && beat >= from - 1e-6 && beat < to - 1e-6);
    }
  }
}

// The picture cut into its head, its strips and its key, so that strips can lie
// side by side and paper breaks between them. The head speaks for all.
function cut(root) {
  const { width, height } = root.viewBox.baseVal;
  const strips = [...root.querySelectorAll('.system')];
  const key = [...root.children].slice([...root.children].indexOf(strips.at(-1)) + 1);
  const piece = (name, top, tall, nodes) => {
    const svg = root.cloneNode(false);
    svg.setAttribute('class', name);
    svg.setAttribute('viewBox', `0 ${top} ${width} ${tall}`);
    for (const a of ['width', 'height', 'role', 'aria-labelledby']) svg.removeAttribute(a);
    svg.setAttribute('aria-hidden', 'true');
    svg.append(...nodes);
    return svg;
  };
  const pieces = strips.map((s) => piece('strip', s.dataset.top, s.dataset.height, [s]));
  const foot = piece('key', height - 24, 24, key);
  root.querySelector('.paper').remove();
  root.setAttribute('class', 'head');
  root.setAttribute('viewBox', `0 0 ${width} ${pieces[0].viewBox.baseVal.y}`);
  for (const a of ['width', 'height']) root.removeAttribute(a);
  return [root, ...pieces, foot];
}
