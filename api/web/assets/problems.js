// What is wrong with the text, in the words of the diagnostics: underlined in
// the text, listed below it, and the fix one click away.
import { byId, el } from './dom.js';
import { fixesOf } from './fixes.js';
import { Marks } from './marks.js';
import { spanOf } from './places.js';

export class Problems {
  #box = byId('problems');
  #text;
  #marks;
  #changed;

  constructor(text, changed) {
    this.#text = text;
    this.#changed = changed;
    this.#marks = new Marks(text);
    text.addEventListener('selectionchange', () => this.#here());
    document.addEventListener('selectionchange', () => this.#here()); // where fields do not tell
  }

  show(diagnostics, refusal = '') {
    const items = diagnostics.map((d) => this.#item(d));
    this.#box.replaceChildren(
      ...(refusal ? [el('p', { className: 'refusal', textContent: refusal })] : []),
      ...(items.length ? [el('ul', { className: 'problems' }, ...items)] : []),
    );
    this.#marks.show(diagnostics);
    this.#text.setAttribute('aria-invalid', String(diagnostics.some((d) => d.severity === 'error')));
  }

  #item(d) {
    const place = el('button', { type: 'button', className: 'place', textContent: `line ${d.line}, column ${d.column}` });
    const more = d.count ? ` and ${d.count - 1} more places` : '';
    place.onclick = () => this.#select(...spanOf(this.#text.value, d));
    const item = el('li', { className: d.severity }, el('strong', { textContent: d.severity }), ' ', place, more + ': ' + d.message);
    item.span = spanOf(this.#text.value, d);
    if (d.hint) item.append(' ', el('span', { className: 'hint', textContent: d.hint }));
    for (const fix of fixesOf(this.#text.value, d)) {
      const button = el('button', { type: 'button', textContent: fix.label, className: 'fix' });
      button.onclick = () => this.#fix(fix);
      item.append(' ', button);
    }
    return item;
  }

  // Points out what is said about the place where the writer is.
  #here() {
    const at = document.activeElement === this.#text ? this.#text.selectionStart : -1;
    for (const item of this.#box.querySelectorAll('li')) {
      item.classList.toggle('here', item.span && item.span[0] <= at && at <= item.span[1]);
    }
  }

  #select(from, to) {
    this.#text.focus();
    this.#text.setSelectionRange(from, to);
  }

  // As if typed, so that undo brings the old text back where the browser can.
  #fix({ from, to, instead }) {
    this.#select(from, to);
    const typed = document.execCommand(instead ? 'insertText' : 'delete', false, instead);
    if (!typed) this.#text.setRangeText(instead, from, to, 'end');
    this.#changed();
  }
}
