// The rows of a page as the sheet shows them: what is written, in the order and
// the words of the page, with the time that each note takes. A pass through a
// repeat is no new row.
import { placeOf } from './beats.js';
import { cellsOf, countBars, placeChords, rhythmKnown } from './counts.js';
import { assign, versesOf } from './words.js';

export { cellsOf };

/** @typedef {import('../types/index').Score} Score */
/** @typedef {import('../types/index').Note} Note */
/** @typedef {import('../types/index').ScoreLine} ScoreLine */
/**
 * A note, a rest, or what a note lasts beyond a bar line.
 * @typedef {object} Cell
 * @property {'note' | 'rest' | 'tie'} kind
 * @property {Note | null} note as it sounds first
 * @property {number} start beat at which it sounds first
 * @property {number} beats
 * @property {number[]} passes all beats at which it sounds
 * @property {'' | 'up' | 'down'} slide that leads on from it
 * @property {boolean} glides the pitch goes on into the next note of the same hole
 * @property {string} chord
 * @property {string} count
 * @property {string[]} words a syllable of each verse
 */
/** @typedef {{cells: Cell[], close: '' | 'bar' | 'double' | 'begin' | 'end'}} Bar */
/** @typedef {{line: number, bars: Bar[], verses: string[], times: string, remark: string, syllables: number}} Row */
/** @typedef {{kind: 'section' | 'text' | 'chords', line: number, text: string}} Plain */

/** Everything that a sheet shows of a score, from top to bottom. */
/**
 * @param {Score} score
 * @returns {(Row | Plain)[]}
 */
export function rowsOf(score) {
  const written = writtenNotes(score);
  /** @type {(Row | Plain)[]} */
  const out = [];
  /** @type {Row | null} */
  let last = null; // the row that words may belong to
  for (const line of score.lines) {
    const notes = written.byLine.get(line.line);
    if (line.kind === 'tab' && notes) {
      const head = headOf(line, notes[0]);
      if (head) out.push({ kind: 'section', line: line.line, text: head });
      out.push(last = rowOf(line, notes, written));
    }
    else if (line.kind === 'section') { last = null; out.push(plain(line)); }
    else if (line.kind === 'chords' && !written.byLine.size) out.push(plain(line));
    else if (line.kind === 'text' && line.text.trim() === '') last = null;
    else if (line.kind === 'text' && last) last.verses.push(line.text);
    else if (line.kind === 'text') out.push(plain(line));
    else if (line.kind === 'tab') out.push({ ...plain(line), kind: 'text' });
  }
  finish(out.filter(isRow), score);
  return out;
}

/**
 * @param {Row | Plain} item
 * @returns {item is Row}
 */
export const isRow = (item) => 'bars' in item;

// A section named at the head of a row: "[A] 4 5", "Intro: 4 5".
/**
 * @param {ScoreLine} line
 * @param {Note} first
 */
function headOf(line, first) {
  const before = [...line.text].slice(0, first.column - 1).join('');
  const name = before.match(/^\s*(?:\[(\p{L}[^\]]*)\]|(\p{L}[\p{L}\p{N} ]*):)/u);
  const words = name?.[1] ?? name?.[2] ?? '';
  return /^(tab|blow|draw)$/i.test(words) ? '' : words;
}

/** @param {ScoreLine} line */
const plain = (line) => /** @type {Plain} */ ({ kind: line.kind, line: line.line, text: line.kind === 'section' ? line.text.trim().replace(/^\[(.*)\]$|:$/, '$1') : line.text.trim() });

/**
 * @typedef {object} Written
 * @property {Map<number, Note[]>} byLine notes and slides as written, by column
 * @property {Map<string, number[]>} passes
 * @property {Map<string, number>} rests beats of silence after a note
 */

/**
 * @param {Score} score
 * @returns {Written}
 */
function writtenNotes(score) {
  const passes = new Map();
  const rests = new Map();
  /** @type {Map<number, Note[]>} */
  const byLine = new Map();
  const timed = score.notes.filter((n) => n.beats > 0);
  const followers = new Map(timed.map((n, i) => [n, timed[i + 1]?.start_beat ?? score.beats]));
  for (const n of score.notes) {
    const key = placeOf(n);
    if (!passes.has(key)) {
      passes.set(key, []);
      byLine.set(n.line, [...(byLine.get(n.line) ?? []), n]);
    }
    passes.get(key).push(n.start_beat);
    const rest = (followers.get(n) ?? n.start_beat) - n.start_beat - n.beats;
    if (n.beats > 0) rests.set(key, Math.min(rests.get(key) ?? Infinity, Math.max(0, rest)));
  }
  for (const notes of byLine.values()) notes.sort((a, b) => a.column - b.column);
  return { byLine, passes, rests };
}

const holds = '\\-‐‑‒–—―−.·_…';
const signs = new RegExp(`:?\\|+:?|(?<![\\p{L}\\d])[rR](?![\\p{L}\\d])|[${holds}]+(?!>)`, 'gu');
const isBar = (/** @type {string} */ sign) => sign.includes('|');
const isRest = (/** @type {string} */ sign) => sign === 'r' || sign === 'R';

/**
 * @param {ScoreLine} line
 * @param {Note[]} notes
 * @param {Written} written
 * @returns {Row}
 */
function rowOf(line, notes, written) {
  const characters = [...line.text];
  const row = new Builder();
  let at = 0;
  row.between(characters.slice(0, notes[0].column - 1).join(''), 0);
  notes.forEach((n, i) => {
    const next = notes[i + 1];
    at = n.column - 1 + n.length;
    const gap = characters.slice(at, next ? next.column - 1 : undefined).join('');
    if (n.role === 'slide') row.slide(n, next);
    else row.note(n, written.passes.get(placeOf(n)) ?? []);
    row.between(gap, next?.role === 'slide' ? 0 : restAfter(notes, i, written));
  });
  const tail = characters.slice(at).join('');
  const times = tail.match(/[x×X]\s*(\d+)|(\d+)\s*[x×X]/);
  const remark = tail.match(/\p{L}[\p{L}\p{M}'’!?.,-]+(?:\s+\p{L}[\p{L}\p{M}'’!?.,-]*)*/u)?.[0] ?? '';
  return { line: line.line, bars: row.done(), verses: [], times: times ? '×' + (times[1] ?? times[2]) : '', remark, syllables: 0 };
}

// The silence after a note stands after a slide that leads away from it.
/**
 * @param {Note[]} notes
 * @param {number} i
 * @param {Written} written
 */
function restAfter(notes, i, written) {
  while (i > 0 && notes[i].role === 'slide') i--;
  return written.rests.get(placeOf(notes[i])) ?? 0;
}

// Puts the cells of a row into its bars.
class Builder {
  /** @type {Bar[]} */
  #bars = [{ cells: [], close: '' }];
  /** @type {Cell | null} */
  #last = null;

  get #bar() { return this.#bars[this.#bars.length - 1]; }

  /**
   * @param {Note} n
   * @param {number[]} passes
   */
  note(n, passes) {
    this.#last = cell('note', n, n.start_beat, n.beats, passes);
    this.#bar.cells.push(this.#last);
  }

  /**
   * @param {Note} n
   * @param {Note | undefined} next
   */
  slide(n, next) {
    if (!this.#last?.note) return;
    const to = next && next.role !== 'slide' ? next.voices[0] : n.voices[0];
    const from = this.#last.note.voices[0];
    if (to.hole === from.hole) this.#last.glides = true;
    else this.#last.slide = to.hole > from.hole ? 'up' : 'down';
  }

  // What stands between two notes: holds, rests that last so many beats together,
  // and bar lines.
  /**
   * @param {string} gap
   * @param {number} rest
   */
  between(gap, rest) {
    const found = [...gap.matchAll(signs)].map(([sign]) => sign);
    const resting = found.findIndex(isRest);
    const held = resting < 0 ? found : found.slice(0, resting);
    const after = resting < 0 ? [] : found.slice(resting);
    this.#hold(held);
    const units = after.reduce((sum, sign) => sum + (isBar(sign) ? 0 : [...sign].length), 0);
    const ends = after.length === 0 && rest > 1e-6 && !held.some(isBar);
    for (const sign of after) isBar(sign) ? this.#close(sign) : this.#rest(rest * [...sign].length / units);
    if (ends) this.#rest(rest);
  }

  // A note that is held over a bar line goes on beyond it.
  /** @param {string[]} found */
  #hold(found) {
    const units = 1 + found.reduce((sum, sign) => sum + (isBar(sign) ? 0 : [...sign].length), 0);
    const whole = this.#last?.beats ?? 0;
    let here = 1;
    for (const [i, sign] of found.entries()) {
      if (!isBar(sign)) { here += [...sign].length; continue; }
      const later = found.slice(i + 1).some((other) => !isBar(other));
      const held = this.#last;
      this.#close(sign);
      if (!later || !held?.note) continue;
      const begun = held.beats - whole * (units - here) / units;
      const tie = cell('tie', held.note, held.start + begun, held.beats - begun, held.passes);
      held.beats = begun;
      this.#bar.cells.push(this.#last = tie);
    }
  }

  /** @param {number} beats */
  #rest(beats) {
    if (beats < 1e-6) return;
    const before = this.#last;
    const start = before ? before.start + before.beats : 0;
    if (before?.kind === 'rest' && this.#bar.cells.at(-1) === before) before.beats += beats;
    else this.#bar.cells.push(this.#last = cell('rest', null, start, beats, []));
  }

  /** @param {string} sign */
  #close(sign) {
    const close = sign.startsWith(':') ? 'end' : sign.endsWith(':') ? 'begin' : sign.length > 1 ? 'double' : 'bar';
    this.#bar.close = close;
    this.#bars.push({ cells: [], close: '' });
  }

  done() { return this.#bars.filter((bar) => bar.cells.length || bar.close === 'begin'); }
}

/**
 * @param {Cell['kind']} kind
 * @param {Note | null} note
 * @param {number} start
 * @param {number} beats
 * @param {number[]} passes
 * @returns {Cell}
 */
const cell = (kind, note, start, beats, passes) => ({ kind, note, start, beats, passes, slide: '', glides: false, chord: '', count: '', words: [] });

// What needs the whole page: chords, counts and words.
/**
 * @param {Row[]} rows
 * @param {Score} score
 */
function finish(rows, score) {
  placeChords(rows, score.chords ?? []);
  if (score.metre && rhythmKnown(score)) countBars(rows, Number(score.metre.split('/')[0]));
  for (const row of rows) {
    const sung = cellsOf(row).filter((c) => c.kind === 'note' && c.note && c.note.beats > 0);
    row.verses = versesOf(row.verses).filter((verse) => {
      const syllables = assign(verse, sung.map((c) => c.note?.column ?? 0));
      if (!syllables) return true;
      row.syllables++;
      sung.forEach((c, i) => c.words.push(syllables[i] ?? ''));
      return false;
    });
  }
}
