// The sheet: every row of the page on its breath line, with its notes to be lit
// and tapped. The notes are one stop for the Tab key; arrows go on from there.
import { placeOf } from './beats.js';
import { rowElement, unitOf } from './cells.js';
import { bringIntoView, breather, byId, calm, el } from './dom.js';
import { isRow, rowsOf } from './rows.js';

/** @typedef {import('../types/index').Note} Note */
/** @typedef {import('./cells.js').Span} Span */

export class Sheet {
  /** @type {(note: Note, row: number) => void} */
  tapped = () => {};
  /** @type {(span: Element) => void} */
  follow = (span) => bringIntoView(span, 'start'); // shows the note that sounds
  /** @type {HTMLElement} */
  #box = byId('sheet');
  /** @type {Map<string, Span[]>} */
  #spans = new Map(); // by line and column; a note held over a bar line has several
  /** @type {Map<number, HTMLElement>} */
  #rows = new Map();
  /** @type {Span[]} */
  #lit = [];
  #own = 0; // until when the page scrolls because we made it
  #ownY = -1; // where it was then
  #letGo = false; // the reader has scrolled away
  /** @type {Span[]} */
  #next = [];
  #drawings = 0;
  /** @type {Note[]} */
  #notes = [];

  constructor() {
    this.#box.addEventListener('click', (e) => this.#tap(/** @type {Element} */ (e.target).closest('.cell')?.querySelector('.n') ?? null));
    this.#box.addEventListener('keydown', (e) => this.#key(e));
    addEventListener('scroll', () => this.#scrolled());
  }

  /**
   * Shows a score. It is done in turns, so that a long page holds nothing up.
   * @param {import('../types/index').Score} score
   */
  async draw(score) {
    const mine = ++this.#drawings;
    const breathe = breather();
    const spans = new Map();
    const rows = new Map();
    const items = rowsOf(score);
    const unit = unitOf(score.notes);
    const nodes = [];
    for (const item of items) {
      await breathe();
      if (mine !== this.#drawings) return;
      const node = isRow(item) ? rowElement(item, unit, spans) : el('p', { className: 'line ' + item.kind, textContent: item.text });
      rows.set(item.line, node);
      nodes.push(node);
    }
    this.#spans = spans;
    this.#rows = rows;
    this.#lit = this.#next = [];
    this.#notes = score.notes;
    this.#box.replaceChildren(...nodes);
    this.#box.querySelector('.n')?.setAttribute('tabindex', '0');
  }

  /**
   * Shows a text that cannot be read, as it is typed.
   * @param {string} text
   */
  async plain(text) {
    const mine = ++this.#drawings;
    const breathe = breather();
    this.#spans = new Map();
    this.#rows = new Map();
    this.#lit = this.#next = [];
    this.#notes = [];
    this.#box.replaceChildren();
    for (const [i, line] of text.split('\n').entries()) {
      await breathe();
      if (mine !== this.#drawings) return;
      const node = el('p', { className: 'line typed', textContent: line || ' ' });
      this.#rows.set(i + 1, node);
      this.#box.append(node);
    }
  }

  /**
   * The element of a line, or of the nearest that is shown before it.
   * @param {number} line
   */
  rowAt(line) {
    for (let at = line; at > 0; at--) if (this.#rows.has(at)) return this.#rows.get(at) ?? null;
    return null;
  }

  /**
   * Lights the note that sounds and outlines the one after it. A slide leaves the
   * note before it lit.
   * @param {Note | null} note
   */
  light(note) {
    if (note?.role === 'slide') return;
    const spans = note ? this.#spans.get(placeOf(note)) ?? [] : [];
    if (spans[0] === this.#lit[0]) return;
    for (const span of this.#lit) { span.classList.remove('lit'); span.removeAttribute('aria-current'); }
    for (const span of this.#next) span.classList.remove('next');
    for (const span of spans) { span.classList.add('lit'); span.setAttribute('aria-current', 'true'); }
    this.#lit = spans;
    const after = note && this.after(note);
    this.#next = (after && this.#spans.get(placeOf(after))) || [];
    for (const span of this.#next) span.classList.add('next');
    if (!spans.length || this.#letGo || this.#box.contains(document.activeElement) || !away(spans[0])) return;
    this.#own = calm() ? 0 : performance.now() + 900;
    this.follow(spans[0]);
    this.#ownY = scrollY;
  }

  /**
   * The note that is played after one.
   * @param {Note} note
   */
  after(note) {
    const i = this.#notes.findIndex((n) => n.line === note.line && n.column === note.column && n.start_beat === note.start_beat);
    return this.#notes.slice(i + 1).find((n) => n.role !== 'slide') ?? null;
  }

  // Whoever scrolls away, to see something else, is not fetched back until they
  // are there again.
  #scrolled() {
    if (performance.now() > this.#own && scrollY !== this.#ownY && this.#lit.length) this.#letGo = away(this.#lit[0]);
  }

  /** Somebody starts to play, and wants to see what sounds. */
  watch() { this.#letGo = false; }

  /**
   * Shows which notes a loop goes round, from a beat up to another.
   * @param {number | null} from
   * @param {number} to
   */
  range(from, to = 0) {
    for (const spans of this.#spans.values()) {
      for (const span of spans) {
        span.classList.toggle('looped', from !== null && span.cell.passes.some((b) => b >= from - 1e-6 && b < to - 1e-6));
      }
    }
  }

  /** The note that has the focus, or null. */
  get focused() {
    const span = document.activeElement;
    return span?.classList.contains('n') ? /** @type {Span} */ (span).note : null;
  }

  /** @param {Element | null} span */
  #tap(span) {
    if (!span) return;
    this.#move(/** @type {Span} */ (span));
    this.tapped(/** @type {Span} */ (span).note, /** @type {Span} */ (span).note.line);
  }

  /** @param {Span} span */
  #move(span) {
    this.#box.querySelector('.n[tabindex="0"]')?.setAttribute('tabindex', '-1');
    span.setAttribute('tabindex', '0');
    span.focus();
  }

  /** @param {KeyboardEvent} e */
  #key(e) {
    const all = [...this.#spans.values()].map((spans) => spans[0]);
    const i = all.indexOf(/** @type {any} */ (document.activeElement));
    if (i < 0 || e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === 'ArrowRight') this.#move(all[Math.min(all.length - 1, i + 1)]);
    else if (e.key === 'ArrowLeft') this.#move(all[Math.max(0, i - 1)]);
    else if (e.key === 'ArrowDown') this.#move(across(all, i, 1));
    else if (e.key === 'ArrowUp') this.#move(across(all, i, -1));
    else if (e.key === 'End') this.#move(all[all.length - 1]);
    else if (e.key === 'Enter') this.tapped(all[i].note, all[i].note.line);
    else return;
    e.preventDefault();
    e.stopPropagation();
  }

  /** Puts the focus on the first note, where a note has it. */
  toStart() {
    const [first] = this.#box.querySelectorAll('.n');
    if (first && this.focused) this.#move(/** @type {Span} */ (first));
  }
}

// What sounds is kept in the upper third.
/** @param {Element} span */
function away(span) {
  const { top, bottom } = span.getBoundingClientRect();
  return top < 0 || bottom > Math.max(innerHeight / 3, bottom - top + innerHeight * 0.15);
}

// The note of the next row, or the one before, that lies nearest.
/**
 * @param {Span[]} all
 * @param {number} i
 * @param {number} way
 */
function across(all, i, way) {
  const here = all[i].getBoundingClientRect();
  let best = all[i];
  let line = null;
  for (let at = i + way; at >= 0 && at < all.length; at += way) {
    const { top, left } = all[at].getBoundingClientRect();
    if (Math.abs(top - here.top) < 5) continue;
    line ??= top;
    if (Math.abs(top - line) > 5) break;
    if (best === all[i] || Math.abs(left - here.left) < Math.abs(best.getBoundingClientRect().left - here.left)) best = all[at];
  }
  return best;
}
