// Lines and columns of the server, which count characters from 1 as people do,
// and offsets in the text, which count UTF-16 units from 0.

/** A text cut into its lines, as the server cuts it, with where each starts. */
export class Places {
  /** @param {string} text */
  constructor(text) {
    this.lines = text.split(/[\n\u2028]/);
    this.starts = [0];
    this.mark = text.startsWith('\ufeff') ? 1 : 0; // a byte-order mark has no column
    for (const line of this.lines) this.starts.push(/** @type {number} */ (this.starts.at(-1)) + line.length + 1);
    this.end = text.length;
  }

  /**
   * The offset of a column of a line.
   * @param {number} line
   * @param {number} column
   */
  offset(line, column) {
    const words = this.lines[line - 1];
    if (words === undefined) return this.end;
    const mark = line === 1 ? this.mark : 0;
    let at = this.starts[line - 1] + mark;
    for (const character of words.slice(mark)) {
      if (column <= 1) return at;
      at += character.length;
      column--;
    }
    return Math.min(at + Math.max(0, column - 1), this.end); // a line end is one character
  }

  /**
   * The stretch that a diagnostic or a change is about, end excluded. It may go
   * over the ends of lines.
   * @param {{line: number, column: number, length: number}} place
   * @returns {[number, number]}
   */
  span({ line, column, length }) {
    const from = this.offset(line, column);
    let left = length;
    for (let at = line; ; at++) {
      const here = [...(this.lines[at - 1] ?? '')].length - (at === 1 ? this.mark : 0) - (at === line ? column - 1 : 0);
      if (left <= here || at >= this.lines.length) return [from, this.offset(at, (at === line ? column : 1) + left)];
      left -= here + 1;
    }
  }
}
