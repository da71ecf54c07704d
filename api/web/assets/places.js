// Lines and columns of the server, which count characters from 1 as people do,
// and offsets in the text, which count UTF-16 units from 0.

// The text cut into its lines, as the server cuts it.
export const linesOf = (text) => text.split(/[\n\u2028]/);

// The offset at which a line starts.
export function startOf(text, line) {
  return linesOf(text).slice(0, line - 1).reduce((sum, l) => sum + l.length + 1, 0);
}

// The stretch that a diagnostic is about, end excluded.
export function spanOf(text, { line, column, length }) {
  const characters = [...(linesOf(text)[line - 1] ?? '')];
  const start = startOf(text, line) + characters.slice(0, column - 1).join('').length;
  return [start, start + characters.slice(column - 1, column - 1 + length).join('').length];
}
