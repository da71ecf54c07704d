// Lines and columns of the server, which count characters from 1 as people do,
// and offsets in the text, which count UTF-16 units from 0.

// The text cut into its lines, as the server cuts it.
export const linesOf = (text) => text.split(/[\n\u2028]/);

// The units before the first column: a byte-order mark has none.
const markOf = (text) => (text.startsWith('\ufeff') ? 1 : 0);

// The offset at which a line starts.
export function startOf(text, line) {
  return line === 1 ? markOf(text) : linesOf(text).slice(0, line - 1).reduce((sum, l) => sum + l.length + 1, 0);
}

// The stretch that a diagnostic is about, end excluded.
export function spanOf(text, { line, column, length }) {
  const start = startOf(text, line);
  const characters = [...text.slice(start, start + (linesOf(text)[line - 1] ?? '').length)];
  const from = start + characters.slice(0, column - 1).join('').length;
  return [from, from + characters.slice(column - 1, column - 1 + length).join('').length];
}
