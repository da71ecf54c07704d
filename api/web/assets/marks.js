// Underlines in the text itself: a layer behind it that has the same words in
// the same places, unseen, and is moved along with it.
import { byId, el } from './dom.js';
import { linesOf, spanOf } from './places.js';

const weights = { note: 0, warning: 1, error: 2 };

export class Marks {
  #layer = byId('marks');
  #text;
  #shown = []; // diagnostics with the line each was about

  constructor(text) {
    this.#text = text;
    text.addEventListener('input', () => this.#draw());
    text.addEventListener('scroll', () => this.#follow());
    new ResizeObserver(() => this.#follow()).observe(text);
  }

  show(diagnostics) {
    const lines = linesOf(this.#text.value);
    this.#shown = diagnostics
      .flatMap((d) => (d.places ?? [d]).map((at) => ({ ...at, severity: d.severity })))
      .map((d) => ({ d, line: lines[d.line - 1] }));
    this.#draw();
  }

  // What was said about a line is gone from it as soon as the line is another.
  #draw() {
    const text = this.#text.value;
    const lines = linesOf(text);
    const spans = this.#shown
      .filter(({ d, line }) => lines[d.line - 1] === line)
      .map(({ d }) => ({ kind: d.severity, span: spanOf(text, { ...d, length: Math.max(1, d.length) }) }));
    this.#layer.replaceChildren(...pieces(text, spans), '\n');
    this.#follow();
  }

  #follow() {
    this.#layer.style.width = this.#text.clientWidth + 2 + 'px'; // without the scroll bar
    this.#layer.scrollTop = this.#text.scrollTop;
  }
}

// The text in pieces that do not overlap; where two problems do, the graver one
// shows.
function pieces(text, spans) {
  const edges = [...new Set([0, text.length, ...spans.flatMap((s) => s.span)])].sort((a, b) => a - b);
  return edges.slice(1).map((to, i) => {
    const from = edges[i];
    const over = spans.filter(({ span }) => span[0] <= from && to <= span[1]).map((s) => s.kind);
    const kind = over.sort((a, b) => weights[b] - weights[a])[0];
    const words = text.slice(from, to);
    return kind ? el('mark', { className: kind }, words) : words;
  });
}
