// How the page was read: which mark is blow and which is draw, and why. A choice
// writes the header that settles it.
import { byId, el } from './dom.js';

/** @typedef {import('../types/index').Dialect} Dialect */

/** @type {Record<string, string>} */
const reasons = {
  request: 'as chosen in the settings', header: 'as the page’s header says', legend: 'as the page explains', notes: 'as the notes show', default: 'as is usual',
};

/** @type {[string, string][]} */
const choices = [['Draw: -4', '4 −4'], ['Draw: D4', 'B4 D4'], ['Draw: 4↓', '4↑ 4↓'], ['Draw: 4-', '4+ 4−'], ['Draw: (4)', '4 (4)']];

/**
 * @param {Dialect | undefined} dialect
 * @param {(header: string) => void} chosen
 */
export function showDialect(dialect, chosen) {
  const box = byId('reading');
  if (!dialect) return box.replaceChildren();
  const marks = [dialect.blow && `blow ${dialect.blow}`, dialect.draw && `draw ${dialect.draw}`].filter(Boolean).join(', ');
  const because = reasons[dialect.because] ?? '';
  const select = el('select', { id: 'dialect' }, el('option', { value: '', textContent: 'that is right' }),
    ...choices.map(([value, text]) => el('option', { value, textContent: 'no: blow and draw are ' + text })));
  select.onchange = () => { if (select.value) chosen(select.value); };
  box.replaceChildren(el('p', { className: 'small dialect' }, el('label', { htmlFor: 'dialect' }, `Read as ${marks || dialect.convention}, ${because}${dialect.line ? ` (line ${dialect.line})` : ''}: `), select));
}

/**
 * The text with a header for the dialect instead of those it has: below the title
 * or on top.
 * @param {string} text
 * @param {string} header
 */
export function withHeader(text, header) {
  const lines = text.split('\n').filter((line) => !/^\s*(blow|draw)\s*:\s*\S*\d?\S*\s*$/i.test(line));
  const title = lines.findIndex((line) => /^\s*title\s*:/i.test(line));
  lines.splice(title + 1, 0, header);
  return lines.join('\n');
}
