import assert from 'node:assert/strict';
import { test } from 'node:test';
import { cellsOf, isRow, rowsOf } from '../assets/rows.js';
import { assign, syllablesOf } from '../assets/words.js';
import { note, score } from './help.js';

const first = (/** @type {any} */ s) => /** @type {any} */ (rowsOf(s).find(isRow));
const kinds = (/** @type {any} */ row) => cellsOf(row).map((c) => (c.note ? c.note.text : 'rest') + '=' + c.beats);

test('a row is cut into bars where the page has bar lines', () => {
  const row = first(score([note('4', 1, 4, 0, 1), note('-4', 1, 6, 1, 1), note('5', 1, 9, 2, 2), note('6', 1, 15, 4, 4)], [['tab', '|: 4 -4 5-  | 6--- :|']]));
  assert.deepEqual(row.bars.map((b) => [b.cells.length, b.close]), [[0, 'begin'], [3, 'bar'], [1, 'end']]);
});

test('a second pass is no new row, and its notes know both', () => {
  const row = first(score([note('4', 1, 4, 0, 1), note('5', 1, 6, 1, 1), note('4', 1, 4, 2, 1), note('5', 1, 6, 3, 1)], [['tab', '|: 4 5 :|']]));
  assert.deepEqual(kinds(row), ['4=1', '5=1']);
  assert.deepEqual(cellsOf(row)[0].passes, [0, 2]);
});

test('silence is a rest where it is written, also over a bar line', () => {
  const row = first(score([note('4', 1, 1, 0, 1), note('5', 1, 9, 4, 1)], [['tab', '4 r- | r 5']]));
  assert.deepEqual(kinds(row), ['4=1', 'rest=2', 'rest=1', '5=1']);
  assert.deepEqual(row.bars.map((b) => b.cells.length), [2, 2]);
});

test('a note held over a bar line goes on beyond it', () => {
  const row = first(score([note('4', 1, 1, 0, 4), note('5', 1, 11, 4, 1)], [['tab', '4 - | - - 5']]));
  assert.deepEqual(cellsOf(row).map((c) => [c.kind, c.beats]), [['note', 2], ['tie', 2], ['note', 1]]);
});

test('a slide belongs to the note before it, a glide to its pitch', () => {
  const slide = note('->', 1, 3, 0, 0, { role: 'slide' });
  const up = first(score([note('6', 1, 1, 0, 1), slide, note('8', 1, 6, 1, 1)], [['tab', '6 -> 8']]));
  assert.deepEqual(cellsOf(up).map((c) => [c.slide, c.glides]), [['up', false], ['', false]]);
  const bent = first(score([note('-3//', 1, 1, 0, 1), { ...slide, column: 6 }, note('-3', 1, 9, 1, 1)], [['tab', '-3// -> -3']]));
  assert.equal(cellsOf(bent)[0].glides, true);
});

test('counts follow the bars; a short first bar is the end of one', () => {
  const notes = [note('3', 1, 1, 0, 1), note('4', 1, 5, 1, 0.5), note('4', 1, 7, 1.5, 0.5), note('5', 1, 10, 2, 2), note('5', 1, 13, 4, 1), note('6', 1, 17, 5, 1)];
  const row = first(score(notes, [['tab', '3 | {4 4} 5- 5 | 6']]));
  assert.deepEqual(cellsOf(row).map((c) => c.count), ['4', '1', '&', '2', '4', '1']);
});

test('no counts where nothing is known of the rhythm', () => {
  const row = first(score([note('4', 1, 1, 0, 1), note('4', 1, 3, 1, 1)], [['tab', '4 4 |']]));
  assert.deepEqual(cellsOf(row).map((c) => c.count), ['', '']);
});

test('chords stand over the note that sounds when they come', () => {
  const row = first(score([note('4', 1, 1, 0, 2), note('5', 1, 4, 2, 2)], [['tab', '4- 5-']], { chords: [{ symbol: 'C', start_beat: 0 }, { symbol: 'F', start_beat: 1 }, { symbol: 'G', start_beat: 2 }] }));
  assert.deepEqual(cellsOf(row).map((c) => c.chord), ['C F', 'G']);
});

test('words belong to the row above them; headers and comments are not shown', () => {
  const items = rowsOf(score([note('4', 4, 1, 0, 1)], [['header', 'Title: T'], ['comment', '# c'], ['section', '[Verse]'], ['tab', '4'], ['text', 'la'], ['text', ''], ['text', 'the end']]));
  assert.deepEqual(items.map((i) => (isRow(i) ? 'row' : i.kind + ' ' + i.text)), ['section Verse', 'row', 'text the end']);
});

test('a section at the head of a row is named above it', () => {
  const items = (/** @type {string} */ text) => rowsOf(score([note('4', 1, text.indexOf('4') + 1, 0, 1)], [['tab', text]])).map((i) => (isRow(i) ? 'row' : i.text));
  assert.deepEqual(items('Intro: 4'), ['Intro', 'row']);
  assert.deepEqual(items('[B] 4'), ['B', 'row']);
  assert.deepEqual(items('tab: 4'), ['row']);
});

test('syllables end at blanks and behind hyphens', () => {
  assert.deepEqual(syllablesOf('Shine a-cross, and').map((s) => [s.text, s.column]), [['Shine', 1], ['a-', 7], ['cross,', 9], ['and', 16]]);
});

test('one syllable for each note where the numbers agree', () => assert.deepEqual(assign('a-b c', [1, 20, 30]), ['a-', 'b', 'c']));
test('else by the columns', () => assert.deepEqual(assign('one  two     three', [1, 6, 10, 14]), ['one', 'two', '', 'three']));
test('else not at all', () => assert.equal(assign('these are many more words than there are notes here', [1, 3]), null));

test('ten thousand notes take about ten times as long as a thousand', () => {
  const page = (/** @type {number} */ n) => {
    const lines = Array.from({ length: n / 10 }, () => /** @type {[string, string]} */ (['tab', '4 5 6 7 8 4 5 6 7 8']));
    return score(Array.from({ length: n }, (_, i) => note('4', 1 + Math.floor(i / 10), 1 + 2 * (i % 10), i, 1)), lines);
  };
  const took = (/** @type {any} */ s) => Math.min(...[0, 1, 2].map(() => { const t = performance.now(); rowsOf(s); return performance.now() - t; }));
  rowsOf(page(1000));
  const [small, large] = [took(page(2000)), took(page(20000))];
  assert.ok(large < 40 * small + 20, `${small} ms, ${large} ms`);
});
