// The picture of a score cut into its head, its strips and its key, so that
// strips lie side by side and paper breaks between them. A strip is read when it
// comes near: of a long tab few are ever looked at.

const eager = 12; // strips that are read at once
const near = '600px 0px';
const value = (/** @type {string} */ text, /** @type {string} */ name) => Number(text.match(new RegExp(`data-${name}="([^"]*)"`))?.[1]);

/** @typedef {SVGSVGElement & {text: string, first: number}} Strip */

export class Strips {
  /** @type {(groups: Element[]) => void} */
  filled = () => {}; // called with the notes of a strip that was read
  #open = ''; // the start tag of the whole
  /** @type {Strip[]} */
  #strips = [];
  #watch = new IntersectionObserver((seen) => {
    for (const { isIntersecting, target } of seen) if (isIntersecting) this.#fill(/** @type {Strip} */ (target));
  }, { rootMargin: near });

  constructor() { addEventListener('beforeprint', () => this.#strips.forEach((s) => this.#fill(s))); }

  clear() {
    this.#watch.disconnect();
    this.#strips = [];
  }

  /**
   * The pieces of a picture, in order. The head speaks for all of them.
   * @param {string} text
   */
  cut(text) {
    this.#watch.disconnect();
    const [before, ...systems] = text.split(/(?=<g class="system")/);
    const last = systems.pop() ?? '';
    const end = last.lastIndexOf('</g>') + 4;
    const key = last.slice(end).replace('</svg>', '');
    systems.push(last.slice(0, end));
    this.#open = before.match(/<svg[^>]*>/)?.[0] ?? '';
    const [, , width, height] = (this.#open.match(/viewBox="([^"]*)"/)?.[1] ?? '').split(' ').map(Number);
    const head = sized(read(before + '</svg>'), 'head', `0 0 ${width} ${value(systems[0], 'top')}`);
    head.querySelector('.paper')?.remove();
    this.#strips = systems.map((system) => this.#strip(system, head));
    const foot = sized(read(this.#open + key + '</svg>'), 'key', `0 ${height - 24} ${width} 24`);
    hide(foot);
    this.#strips.forEach((s, i) => (i < eager ? this.#fill(s) : this.#watch.observe(s)));
    return [head, ...this.#strips, foot];
  }

  /**
   * @param {string} system
   * @param {SVGSVGElement} head
   */
  #strip(system, head) {
    const { width } = head.viewBox.baseVal;
    const svg = /** @type {Strip} */ (sized(/** @type {SVGSVGElement} */ (head.cloneNode(false)), 'strip', `0 ${value(system, 'top')} ${width} ${value(system, 'height')}`));
    hide(svg);
    svg.text = system;
    svg.first = value(system, 'index'); // NaN where it has no notes
    return svg;
  }

  /** @param {Strip} svg */
  #fill(svg) {
    if (!svg.text) return;
    const root = read(this.#open + svg.text + '</svg>');
    svg.text = '';
    svg.append(...root.querySelectorAll('.system'));
    this.filled([...svg.querySelectorAll('.note')]);
  }

  /**
   * The group of a note, whose strip is read for it.
   * @param {number} index
   */
  noteAt(index) {
    const strip = this.#strips.findLast((s) => s.first <= index);
    if (!strip) return null;
    this.#fill(strip);
    return strip.querySelector(`[data-index="${index}"]`);
  }
}

/**
 * SVG from our own server, read as XML: what is not well formed is an error.
 * @param {string} text
 */
function read(text) {
  const root = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement;
  if (root.nodeName !== 'svg') throw new Error('The picture cannot be read.');
  return /** @type {SVGSVGElement} */ (/** @type {unknown} */ (document.adoptNode(root)));
}

/**
 * @param {SVGSVGElement} svg
 * @param {string} name
 * @param {string} box
 */
function sized(svg, name, box) {
  svg.setAttribute('class', name);
  svg.setAttribute('viewBox', box);
  for (const a of ['width', 'height']) svg.removeAttribute(a);
  return svg;
}

/** @param {Element} svg */
function hide(svg) {
  for (const a of ['role', 'aria-labelledby']) svg.removeAttribute(a);
  svg.setAttribute('aria-hidden', 'true');
}
