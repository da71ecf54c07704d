// Words under notes: which syllable goes with which note. Nothing is guessed
// about syllables that are sung on several notes.

/**
 * The lines of words under a row that say anything.
 * @param {string[]} lines
 */
export const versesOf = (lines) => lines.filter((line) => line.trim() !== '');

/**
 * The syllables of a line with the columns at which they begin, from 1. They end
 * at blanks and behind hyphens.
 * @param {string} line
 */
export function syllablesOf(line) {
  const out = [];
  for (const found of line.matchAll(/[^\s-]+-*|-+/gu)) {
    out.push({ text: found[0], column: [...line.slice(0, found.index)].length + 1 });
  }
  return out;
}

/**
 * The words of each note: one syllable for each where the numbers agree, else by
 * the columns they are written in; null where those say nothing.
 * @param {string} line
 * @param {number[]} columns of the notes
 * @returns {string[] | null}
 */
export function assign(line, columns) {
  const syllables = syllablesOf(line).filter(({ text }) => /[\p{L}\p{N}]/u.test(text));
  if (syllables.length === columns.length) return syllables.map(({ text }) => text);
  return byColumn(syllables, columns);
}

const near = 2; // columns by which words may be off their notes

/**
 * @param {{text: string, column: number}[]} syllables
 * @param {number[]} columns
 */
function byColumn(syllables, columns) {
  const close = syllables.filter(({ column }) => columns.some((c) => Math.abs(c - column) <= near));
  const beyond = syllables.at(-1)?.column ?? 0;
  if (!columns.length || 2 * close.length < syllables.length || beyond > columns[columns.length - 1] + 12) return null;
  const out = columns.map(() => '');
  for (const { text, column } of syllables) {
    let i = columns.findLastIndex((c) => c <= column + 1);
    i = Math.max(0, i);
    out[i] += (out[i] && !out[i].endsWith('-') ? ' ' : '') + text;
  }
  return out;
}
