// What stands above and below the notes of a row that needs the rows before it:
// chords and counts.

/** @typedef {import('../types/index').Score} Score */
/** @typedef {import('./rows.js').Row} Row */

/** @param {Row} row */
export const cellsOf = (row) => row.bars.flatMap((bar) => bar.cells);

/** @param {Score} score */
export const rhythmKnown = (score) => score.notes.some((n) => n.beats > 0 && Math.abs(n.beats - 1) > 1e-6);

/**
 * @param {Row[]} rows
 * @param {{symbol: string, start_beat: number}[]} chords
 */
export function placeChords(rows, chords) {
  let i = 0;
  for (const c of rows.flatMap(cellsOf)) {
    while (i < chords.length && chords[i].start_beat < c.start - 1e-6) i++;
    for (; i < chords.length && chords[i].start_beat < c.start + c.beats - 1e-6; i++) {
      c.chord += (c.chord ? ' ' : '') + chords[i].symbol;
    }
  }
}

const parts = [[0, ''], [0.25, 'e'], [1 / 3, 'trip'], [0.5, '&'], [2 / 3, 'let'], [0.75, 'a']];

// Counts every note aloud. The first bar may be short: it is the end of one.
/**
 * @param {Row[]} rows
 * @param {number} full beats of a bar
 */
export function countBars(rows, full) {
  const bars = rows.flatMap((row) => row.bars);
  if (!bars.some((bar) => bar.close)) return;
  const lengths = bars.map((bar) => bar.cells.reduce((sum, c) => sum + c.beats, 0));
  const first = lengths.findIndex((length) => length > 0);
  let at = lengths[first] < full - 1e-6 && bars[first].close ? full - lengths[first] : 0;
  for (const bar of bars) {
    for (const c of bar.cells) {
      const beat = Math.floor(at + 1e-6);
      const part = parts.find(([x]) => Math.abs(at - beat - Number(x)) < 1e-3);
      if (part && c.kind === 'note' && c.beats > 0) c.count = String(part[1] || 1 + (beat % full));
      at += c.beats;
    }
    if (bar.close) at = Math.abs(at % full) < 1e-3 || Math.abs((at % full) - full) < 1e-3 || bar.close !== 'bar' ? 0 : at % full;
    if (bar.close === 'bar') at = 0;
  }
}
