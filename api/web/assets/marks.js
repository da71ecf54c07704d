// Underlines in the text itself: a layer behind it that has the same words in
// the same places, unseen, and is moved along with it.
import { byId, el } from './dom.js';
import { Places } from './places.js';

/** @typedef {import('../types/index').Diagnostic} Diagnostic */
/** @typedef {{kind: string, from: number, to: number}} Stretch */
/** @typedef {{severity: string, line: number, column: number, length: number}} Spot */

/** @type {Record<string, number>} */
const weights = { note: 0, warning: 1, error: 2 };

export class Marks {
  /** @type {HTMLElement} */
  #layer = byId('marks');
  #text;
  /** @type {{d: Spot, line: string}[]} */
  #shown = []; // places of diagnostics with the line each was about

  /** @param {HTMLTextAreaElement} text */
  constructor(text) {
    this.#text = text;
    text.addEventListener('input', () => this.#draw(new Places(text.value)));
    text.addEventListener('scroll', () => this.#follow());
    new ResizeObserver(() => this.#follow()).observe(text);
  }

  /**
   * @param {Diagnostic[]} diagnostics
   * @param {Places} places
   */
  show(diagnostics, places) {
    this.#shown = diagnostics
      .flatMap((d) => (d.places ?? [d]).map((at) => ({ ...at, severity: d.severity })))
      .map((d) => ({ d, line: places.lines[d.line - 1] }));
    this.#draw(places);
  }

  // What was said about a line is gone from it as soon as the line is another.
  /** @param {Places} places */
  #draw(places) {
    const stretches = this.#shown.filter(({ d, line }) => places.lines[d.line - 1] === line).map(({ d }) => {
      const [from, to] = places.span({ ...d, length: Math.max(1, d.length) });
      return { kind: d.severity, from, to };
    });
    this.#layer.replaceChildren(...pieces(this.#text.value, stretches), '\n');
    this.#follow();
  }

  #follow() {
    this.#layer.style.width = this.#text.clientWidth + 2 + 'px'; // without the scroll bar
    this.#layer.scrollTop = this.#text.scrollTop;
  }
}

/**
 * The text in pieces that do not overlap; where two problems do, the graver one
 * shows.
 * @param {string} text
 * @param {Stretch[]} stretches
 */
function pieces(text, stretches) {
  const edges = [...new Set([0, text.length, ...stretches.flatMap((s) => [s.from, s.to])])].sort((a, b) => a - b);
  const starts = stretches.sort((a, b) => a.from - b.from);
  /** @type {Stretch[]} */
  let open = [];
  let next = 0;
  return edges.slice(1).map((to, i) => {
    const from = edges[i];
    while (next < starts.length && starts[next].from <= from) open.push(starts[next++]);
    open = open.filter((s) => s.to >= to);
    const gravest = open.reduce((most, s) => Math.max(most, weights[s.kind]), -1);
    const words = text.slice(from, to);
    return gravest < 0 ? words : el('mark', { className: Object.keys(weights)[gravest] }, words);
  });
}
