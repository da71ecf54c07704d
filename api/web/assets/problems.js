// What there is to say about the text: underlined in it, and beside the row it is
// about, with edits that are one click away. A few at a time; the rest is folded.
import { byId, el } from './dom.js';
import { applied } from './fixes.js';
import { Marks } from './marks.js';
import { Places } from './places.js';

/** @typedef {import('../types/index').Diagnostic} Diagnostic */
/** @typedef {import('../types/index').Edit} Edit */

const mostShown = 3;
const weights = { error: 0, warning: 1, note: 2 };

export class Problems {
  /** @type {HTMLElement} */
  #box = byId('problems');
  #editor;
  #sheet;
  #marks;
  /** @type {Element[]} */
  #placed = [];
  /** @type {{node: Element, span: [number, number]}[]} */
  #spans = [];

  /**
   * @param {import('./history.js').Editor} editor
   * @param {import('./sheet.js').Sheet} sheet
   */
  constructor(editor, sheet) {
    this.#editor = editor;
    this.#sheet = sheet;
    this.#marks = new Marks(editor.field);
    editor.field.addEventListener('selectionchange', () => this.#here());
    document.addEventListener('selectionchange', () => this.#here()); // where fields do not tell
  }

  /**
   * @param {Diagnostic[]} diagnostics
   * @param {string} refusal why nothing can be played, where that is not the text's fault
   */
  show(diagnostics, refusal = '') {
    for (const node of this.#placed) node.remove();
    this.#spans = [];
    const places = new Places(this.#editor.text);
    const sorted = [...diagnostics].sort((a, b) => Number(forAll(b)) - Number(forAll(a)) || weights[a.severity] - weights[b.severity]);
    const items = sorted.slice(0, mostShown).map((d) => ({ d, node: this.#item(d, places) }));
    this.#placed = items.reverse().map(({ d, node }) => this.#place(d, node)); // each goes right behind its row
    const rest = sorted.slice(mostShown);
    this.#box.replaceChildren(
      ...(refusal ? [el('p', { className: 'refusal', textContent: refusal })] : []),
      ...(rest.length ? [this.#folded(rest, places)] : []),
    );
    this.#marks.show(diagnostics, places);
    this.#editor.field.setAttribute('aria-invalid', String(diagnostics.some((d) => d.severity === 'error')));
    byId('said').textContent = summary(diagnostics);
  }

  /**
   * @param {Diagnostic} d
   * @param {Element} item
   */
  #place(d, item) {
    const node = el('aside', { className: 'problems', 'aria-label': `About line ${d.line}` }, item);
    const row = this.#sheet.rowAt(d.line);
    if (row) row.after(node);
    else byId('sheet').prepend(node);
    return node;
  }

  // Read only when somebody wants to.
  /**
   * @param {Diagnostic[]} rest
   * @param {Places} places
   */
  #folded(rest, places) {
    const list = el('ul', { className: 'problems' });
    const fold = el('details', {}, el('summary', {}, `${rest.length} more to look at`), list);
    fold.addEventListener('toggle', () => {
      if (!list.childNodes.length) list.append(...rest.slice(0, 200).map((d) => el('li', {}, this.#item(d, places))));
    });
    return fold;
  }

  /**
   * @param {Diagnostic} d
   * @param {Places} places
   */
  #item(d, places) {
    const span = places.span(d);
    const place = el('button', { type: 'button', className: 'place', textContent: `line ${d.line}, column ${d.column}` });
    const more = d.count ? ` and ${d.count - 1} more places` : '';
    place.onclick = () => this.#select(...span);
    const item = el('div', { className: 'problem ' + d.severity }, el('strong', { textContent: d.severity }), ' ', place, more + ': ' + d.message);
    if (d.hint) item.append(' ', el('span', { className: 'hint', textContent: d.hint }));
    const edits = [...(d.edits ?? [])].sort((a, b) => Number(!!b.everywhere) - Number(!!a.everywhere));
    for (const edit of edits) {
      const button = el('button', { type: 'button', textContent: edit.label, className: 'fix' });
      button.onclick = () => this.#apply(edit);
      item.append(' ', button);
    }
    this.#spans.push({ node: item, span });
    return item;
  }

  // Points out what is said about the place where the writer is.
  #here() {
    const { field } = this.#editor;
    const at = document.activeElement === field ? field.selectionStart : -1;
    for (const { node, span } of this.#spans) node.classList.toggle('here', span[0] <= at && at <= span[1]);
  }

  /**
   * @param {number} from
   * @param {number} to
   */
  #select(from, to) {
    document.body.classList.add('writing');
    this.#editor.field.focus();
    this.#editor.field.setSelectionRange(from, to);
  }

  /** @param {Edit} edit */
  #apply(edit) {
    const [first] = edit.changes;
    const text = applied(this.#editor.text, edit);
    const at = new Places(text).offset(first.line, first.column);
    this.#editor.set(text, at + first.text.length);
  }
}

/** @param {Diagnostic} d */
const forAll = (d) => (d.edits ?? []).some((e) => e.everywhere);

/** @param {Diagnostic[]} diagnostics */
function summary(diagnostics) {
  const [errors, warnings] = ['error', 'warning'].map((s) => diagnostics.filter((d) => d.severity === s).length);
  const parts = [errors && `${errors} error${errors > 1 ? 's' : ''}`, warnings && `${warnings} warning${warnings > 1 ? 's' : ''}`].filter(Boolean);
  return parts.length ? parts.join(' and ') + ' in the text.' : '';
}
