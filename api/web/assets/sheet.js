// The text as typed, with its notes to be lit and tapped. The notes are one
// stop for the Tab key; the arrow keys go from one to the next.
import { bringIntoView, byId, el, onScreen } from './dom.js';

const spoken = (n) => n.voices.map((v) => `${v.hole} ${v.breath} ${v.name}`).join(' and ');

export class Sheet {
  tapped = () => {};
  #box = byId('sheet');
  #spans = new Map(); // line:column to element
  #lit = null;
  #last = null; // the last that was lit

  constructor() {
    this.#box.addEventListener('click', (e) => this.#tap(e.target.closest('.n')));
    this.#box.addEventListener('keydown', (e) => this.#key(e));
  }

  draw(score) {
    const firsts = new Map();
    for (const n of score.notes) {
      if (n.role === 'slide') continue;
      const key = n.line + ':' + n.column;
      if (!firsts.has(key)) firsts.set(key, n);
    }
    const byLine = Map.groupBy ? Map.groupBy(firsts.values(), (n) => n.line) : group([...firsts.values()]);
    this.#spans = new Map();
    this.#lit = null;
    this.#box.replaceChildren(...score.lines.map((l) => this.#line(l, byLine.get(l.line) ?? [])));
    this.#box.querySelector('.n')?.setAttribute('tabindex', '0');
  }

  #line(line, notes) {
    const row = el('div', { className: 'line ' + line.kind });
    const characters = [...line.text];
    let at = 0;
    for (const n of notes.sort((a, b) => a.column - b.column)) {
      if (n.column - 1 < at) continue;
      const end = n.column - 1 + n.length;
      row.append(characters.slice(at, n.column - 1).join(''), this.#note(n, characters.slice(n.column - 1, end).join('')));
      at = end;
    }
    row.append(characters.slice(at).join('') || (at ? '' : ' '));
    return row;
  }

  #note(n, text) {
    const names = el('i', { textContent: n.voices.map((v) => v.name).join(' ') });
    const span = el('span', { className: 'n', role: 'button', tabIndex: -1, title: spoken(n) }, text, names);
    span.note = n;
    this.#spans.set(n.line + ':' + n.column, span);
    return span;
  }

  // Lights the note, or none.
  light(note) {
    const span = note ? this.#spans.get(note.line + ':' + note.column) ?? null : null;
    if (span === this.#lit) return;
    this.#lit?.classList.remove('lit');
    span?.classList.add('lit');
    if (span && this.#watched()) bringIntoView(span);
    this.#lit = span;
    if (span) this.#last = span;
  }

  // Whoever has scrolled away, to see something else, is not fetched back.
  #watched() {
    if (this.#box.contains(document.activeElement)) return false;
    return !this.#last || !this.#box.contains(this.#last) || onScreen(this.#last);
  }

  // Somebody starts to play, and wants to see what sounds.
  watch() { this.#last = null; }

  // Shows which notes a loop goes round, from a beat up to another.
  range(from, to) {
    for (const span of this.#spans.values()) {
      const b = span.note.start_beat;
      span.classList.toggle('looped', from !== null && b >= from - 1e-6 && b < to - 1e-6);
    }
  }

  #tap(span) {
    if (!span) return;
    this.#move(span);
    this.tapped(span.note);
  }

  #move(span) {
    this.#box.querySelector('[tabindex="0"]')?.setAttribute('tabindex', '-1');
    span.setAttribute('tabindex', '0');
    span.focus();
  }

  #key(e) {
    const all = [...this.#spans.values()];
    const i = all.indexOf(document.activeElement);
    if (i < 0) return;
    const to = { ArrowRight: i + 1, ArrowDown: i + 1, ArrowLeft: i - 1, ArrowUp: i - 1, Home: 0, End: all.length - 1 }[e.key];
    if (to !== undefined) this.#move(all[Math.max(0, Math.min(all.length - 1, to))]);
    else if (e.key === 'Enter' || e.key === ' ') this.tapped(all[i].note);
    else return;
    e.preventDefault();
  }
}

function group(notes) {
  const out = new Map();
  for (const n of notes) out.set(n.line, [...(out.get(n.line) ?? []), n]);
  return out;
}
