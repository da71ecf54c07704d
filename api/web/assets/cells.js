// The elements of a row of the sheet: its cells, each with a note on the breath
// line, the chord above it, the count and the words below.
import { placeOf } from './beats.js';
import { drawn, el } from './dom.js';
import { depths, high, label, outline, reach, spoken } from './glyph.js';
import { cellsOf } from './rows.js';

/** @typedef {import('./rows.js').Cell} Cell */
/** @typedef {import('./rows.js').Row} Row */
/** @typedef {import('../types/index').Note} Note */
/** @typedef {HTMLElement & {note: Note, cell: Cell}} Span */

const narrowest = 1.9; // em of a cell, so that a finger finds it
const widest = 15; // em
const lineWidth = 0.9;
const least = 8; // tenths of an em, on the side of the line where nothing is

// How wide a beat is, em: wide enough for the shortest notes of the page.
/** @param {Note[]} notes */
export function unitOf(notes) {
  const shortest = notes.reduce((least, n) => (n.beats > 0 ? Math.min(least, n.beats) : least), 1);
  return Math.min(4.4, Math.max(2.5, narrowest / shortest));
}

/**
 * @param {Row} row
 * @param {number} unit em
 * @param {Map<string, Span[]>} spans
 */
export function rowElement(row, unit, spans) {
  const cells = cellsOf(row);
  const has = { chords: cells.some((c) => c.chord), counts: cells.some((c) => c.count), verses: row.syllables };
  const reaches = (/** @type {string} */ breath) => Math.max(least, ...cells.filter((c) => c.note?.voices[0].breath === breath)
    .map((c) => reach(/** @type {Note} */ (c.note)) + (c.slide ? 5 : 0))) + 2;
  const zone = { up: reaches('blow'), down: reaches('draw') };
  let i = 0;
  const bars = row.bars.map((bar) => el('span', { className: bar.close ? 'bar closed ' + bar.close : 'bar' }, ...bar.cells.map((c) => {
    const next = cells[++i];
    return cellOf(c, next?.note && c.glides ? next.note : null, widthOf(c, unit), zone, has, spans);
  })));
  const to = el('a', { className: 'to', href: '#L' + row.line, title: 'Play from this row. This is also its link.', 'aria-label': `Play from line ${row.line}` }, '▸');
  const node = el('div', { className: 'row', role: 'group', 'aria-label': 'Line ' + row.line }, to, el('div', { className: 'bars' }, ...bars));
  node.dataset.line = String(row.line);
  if (row.times) node.lastElementChild?.append(el('span', { className: 'times' }, row.times));
  if (row.remark) node.append(el('p', { className: 'verse' }, row.remark));
  for (const verse of row.verses) node.append(el('p', { className: 'verse' }, verse.trim()));
  return node;
}

/**
 * @param {Cell} c
 * @param {number} unit
 */
function widthOf(c, unit) {
  const sung = Math.max(0, ...c.words.map((w) => measure(w) + 0.45), measure(c.chord) + (c.chord ? 0.5 : 0));
  if (!c.note) return Math.max(1, Math.min(c.beats * unit, widest / 2), sung);
  const named = (c.kind === 'tie' ? 0 : label(c.note).length * 0.66) + 0.7;
  if (c.note.role === 'grace') return Math.max(1.5, named * 0.75);
  return Math.max(narrowest, named, Math.min(c.beats * unit, widest), sung);
}

const ruler = document.createElement('canvas').getContext('2d');
/** @type {Map<string, number>} */
const measured = new Map();
if (ruler) ruler.font = '16px ' + getComputedStyle(document.body).fontFamily;

// The width of words, em.
/** @param {string} text */
function measure(text) {
  if (!text || !ruler) return 0;
  const width = measured.get(text) ?? ruler.measureText(text).width / 16;
  measured.set(text, width);
  return width;
}

/**
 * @param {Cell} c
 * @param {Note | null} next
 * @param {number} width em
 * @param {{up: number, down: number}} zone
 * @param {{chords: boolean, counts: boolean, verses: number}} has
 * @param {Map<string, Span[]>} spans
 */
function cellOf(c, next, width, zone, has, spans) {
  const node = el('span', { className: 'cell' });
  node.style.width = width + 'em';
  const drawing = glyph(c, next, 10 * width, zone);
  if (has.chords) node.append(el('span', { className: 'chord' }, c.chord));
  node.append(c.note ? button(c, c.note, drawing, spans) : drawing);
  if (has.counts) node.append(el('span', { className: 'count', 'aria-hidden': 'true' }, c.count));
  for (let v = 0; v < has.verses; v++) node.append(el('span', { className: 'sung' }, c.words[v] ?? ''));
  return node;
}

/**
 * @param {Cell} c
 * @param {Note} note
 * @param {Element} drawing
 * @param {Map<string, Span[]>} spans
 */
function button(c, note, drawing, spans) {
  const tie = c.kind === 'tie';
  const span = /** @type {Span} */ (/** @type {unknown} */ (el('span', { className: tie ? 'n tie' : 'n', title: spoken(note) }, drawing)));
  Object.assign(span, { note, cell: c });
  if (tie) span.setAttribute('aria-hidden', 'true');
  else {
    span.tabIndex = -1;
    span.setAttribute('role', 'button');
    span.setAttribute('aria-label', spoken(note));
  }
  const key = placeOf(note);
  spans.set(key, [...(spans.get(key) ?? []), span]);
  return span;
}

/**
 * @param {Cell} c
 * @param {Note | null} next
 * @param {number} width tenths of an em
 * @param {{up: number, down: number}} zone
 */
function glyph(c, next, width, { up, down }) {
  const svg = drawn('svg', { viewBox: `0 ${-up} ${width} ${up + down}`, class: 'g', 'aria-hidden': 'true' });
  svg.style.height = (up + down) / 10 + 'em';
  if (c.note) svg.append(...shapeOf(c, c.note, next, width));
  svg.append(drawn('path', { d: `M0 0H${width}`, class: 'axis', 'stroke-width': lineWidth }));
  return svg;
}

/**
 * @param {Cell} c
 * @param {Note} note
 * @param {Note | null} next
 * @param {number} width
 */
function shapeOf(c, note, next, width) {
  const { breath, technique } = note.voices[0];
  const grace = note.role === 'grace';
  const side = breath === 'draw' ? 1 : -1;
  const middle = { x: width / 2, y: side * high * (grace ? 0.31 : 0.5) };
  const d = outline({ width, breath, ...depths(note, next), shake: note.shake, grace, tie: c.kind === 'tie' });
  const out = [drawn('path', { d, class: `shape ${breath} ${note.role}` })];
  if (c.slide) out.push(drawn('path', { d: slide(c.slide, side, width, reach(note)), class: 'slide' }));
  if (c.kind === 'tie') return out;
  const text = label(note);
  const left = Math.min(middle.x, 3.5 * text.length + 4.5);
  if (technique === 'over') out.push(drawn('rect', { x: left - 3.4 * text.length - 2.4, y: middle.y - 8, width: 6.8 * text.length + 4.8, height: 16, rx: 8, class: 'ring ' + breath }));
  out.push(drawn('text', { x: left, y: middle.y + (grace ? 3 : 4), class: `number ${breath}${grace ? ' grace' : ''}` }, text));
  return out;
}

// A stroke from a note to the next, up or down as its pitch goes.
/**
 * @param {'up' | 'down'} way
 * @param {number} side
 * @param {number} width
 * @param {number} edge
 */
function slide(way, side, width, edge) {
  const [near, far] = [side * (edge + 1), side * (edge + 5.5)];
  const begins = (way === 'up') === (side < 0) ? near : far;
  return `M${width - 6} ${begins}L${width + 6} ${begins === near ? far : near}`;
}
