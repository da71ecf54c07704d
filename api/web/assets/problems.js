// What is wrong with the text, in the words of the diagnostics, and the fix one
// click away.
import { byId, el } from './dom.js';

// The offset in the text of a line and a column, both from 1; columns count
// characters, as people do, and the text counts UTF-16 units.
export function offsetOf(text, line, column) {
  const lines = text.split('\n');
  const before = lines.slice(0, line - 1).reduce((sum, l) => sum + l.length + 1, 0);
  return before + [...(lines[line - 1] ?? '')].slice(0, column - 1).join('').length;
}

function spanOf(text, d) {
  const rest = [...text.slice(offsetOf(text, d.line, d.column))];
  const start = offsetOf(text, d.line, d.column);
  return [start, start + rest.slice(0, d.length).join('').length];
}

// What of a hint can stand in the text as it is: "Write 4 4." has tab and
// nothing else; advice in words is left to the reader.
const tabOnly = /^(?:Write )?((?:[BD]?[-+]?\d+[-+/*~'↑↓BD]*[ ,]?)+)\.?$/;
const replacement = (d) => (d.length > 0 ? d.hint.match(tabOnly)?.[1].trim() : undefined);

export class Problems {
  #box = byId('problems');
  #text;
  #changed;

  constructor(text, changed) {
    this.#text = text;
    this.#changed = changed;
  }

  show(diagnostics, refusal = '') {
    const items = diagnostics.map((d) => this.#item(d));
    this.#box.replaceChildren(
      ...(refusal ? [el('p', { className: 'refusal', textContent: refusal })] : []),
      ...(items.length ? [el('ul', { className: 'problems' }, ...items)] : []),
    );
    this.#text.setAttribute('aria-invalid', String(diagnostics.some((d) => d.severity === 'error')));
  }

  #item(d) {
    const place = el('button', { type: 'button', className: 'place', textContent: `line ${d.line}, column ${d.column}` });
    place.onclick = () => this.#select(d);
    const item = el('li', { className: d.severity }, el('strong', { textContent: d.severity }), ' ', place, ': ' + d.message);
    if (!d.hint) return item;
    item.append(' ', el('span', { className: 'hint', textContent: d.hint }));
    const instead = replacement(d);
    if (instead) {
      const fix = el('button', { type: 'button', textContent: `Put ${instead} there`, className: 'fix' });
      fix.onclick = () => this.#fix(d, instead);
      item.append(' ', fix);
    }
    return item;
  }

  #select(d) {
    this.#text.focus();
    this.#text.setSelectionRange(...spanOf(this.#text.value, d));
  }

  // As if typed, so that undo brings the old text back where the browser can.
  #fix(d, instead) {
    this.#select(d);
    if (!document.execCommand('insertText', false, instead)) {
      this.#text.setRangeText(instead, ...spanOf(this.#text.value, d), 'end');
    }
    this.#changed();
  }
}
