import assert from 'node:assert/strict';
import { test } from 'node:test';
import { withHeader } from '../assets/dialect.js';
import { applied } from '../assets/fixes.js';
import { History } from '../assets/history.js';
import { canonical } from '../assets/link.js';
import { Places } from '../assets/places.js';
import { partIn, rowRange } from '../assets/settings.js';
import { decoded, exported, imported } from '../assets/tabs.js';
import { note, score } from './help.js';

test('places count characters, also those of two units, and a byte-order mark has none', () => {
  const p = new Places('\ufeff4 5\n𝄞 4 44\n6');
  assert.deepEqual(p.span({ line: 1, column: 1, length: 1 }), [1, 2]);
  assert.deepEqual(p.span({ line: 2, column: 5, length: 2 }), [10, 12]);
  assert.deepEqual(p.span({ line: 2, column: 1, length: 7 }), [5, 13], 'a line end is one character');
  assert.deepEqual(p.span({ line: 9, column: 1, length: 1 }), [14, 14]);
});

test('an edit makes all its changes, from the end on', () => {
  const edit = { label: '', changes: [{ line: 1, column: 1, length: 0, text: 'Draw: 4-\n' }, { line: 1, column: 3, length: 2, text: '4 4' }, { line: 2, column: 1, length: 2, text: '' }] };
  assert.equal(applied('4 44 5\nxx6', edit), 'Draw: 4-\n4 4 4 5\n6');
});

test('one step undoes what the page did, and letters typed in one go', () => {
  const state = (/** @type {string} */ text) => ({ text, from: text.length, to: text.length, owner: null });
  const h = new History(state(''));
  h.keep(state('4'), 10);
  h.keep(state('4 '), 20);
  h.keep(state('4 5'), 30);
  h.keep(state('Title: F\n6'));
  assert.equal(h.undo()?.text, '4 5');
  assert.equal(h.undo()?.text, '');
  assert.equal(h.undo(), null);
  assert.equal(h.redo()?.text, '4 5');
  assert.equal(h.redo()?.text, 'Title: F\n6');
  assert.equal(h.redo(), null);
});

test('a change after undoing begins another way', () => {
  const state = (/** @type {string} */ text) => ({ text, from: 0, to: 0, owner: null });
  const h = new History(state('a'));
  h.keep(state('b'));
  h.undo();
  h.keep(state('c'));
  assert.equal(h.redo(), null);
  assert.equal(h.undo()?.text, 'a');
});

test('requests that ask for the same are the same word', () => {
  assert.equal(canonical({ tempo: 90, tab: '4', layout: { draw: [], blow: ['C4'] }, harp: undefined }), '{"layout":{"blow":["C4"],"draw":[]},"tab":"4","tempo":90}');
});

test('a choice of dialect is a header below the title, once', () => {
  assert.equal(withHeader('Title: T\nDraw: D4\n4 4-', 'Draw: 4-'), 'Title: T\nDraw: 4-\n4 4-');
  assert.equal(withHeader('4 4-', 'Draw: 4-'), 'Draw: 4-\n4 4-');
  assert.equal(withHeader('Draw: 4 5 6\n4', 'Draw: -4'), 'Draw: -4\nDraw: 4 5 6\n4', 'a row of notes is no header');
});

test('the loop of a row is the pass that sounds', () => {
  const twice = score([note('4', 1, 1, 0, 1), note('5', 1, 3, 1, 1), note('4', 1, 1, 2, 1), note('5', 1, 3, 3, 1), note('6', 2, 1, 5, 1)], [['tab', '4 5 x2'], ['tab', 'r 6']]);
  assert.deepEqual(rowRange(twice, twice.notes[1]), { from: 0, to: 2 });
  assert.deepEqual(rowRange(twice, twice.notes[3]), { from: 2, to: 5 });
  assert.deepEqual(rowRange(twice, twice.notes[4]), { from: 5, to: 6 });
  assert.deepEqual(partIn({ from: 'L1', to: 'L1' }, twice), { from: 0, to: 4 });
  assert.equal(partIn({}, twice), null);
});

test('what is exported can be imported, and nothing else is taken for it', () => {
  const tab = { id: 'a', text: '4 -4', title: 'T', harp: 'C', settings: { tempo: 90 }, changed: 1, played: 2 };
  const { id, ...rest } = tab;
  assert.deepEqual(imported(exported([tab])), [rest]);
  for (const other of ['4 -4', '{"a":1}', '{', '{"reedlark":2,"tabs":[]}']) assert.equal(imported(other), null);
});

test('files are read in the encoding they are in', () => {
  const bytes = (/** @type {number[]} */ ...b) => new Uint8Array(b).buffer;
  assert.equal(decoded(bytes(0x34, 0xe2, 0x86, 0x91, 13, 10)), '4↑\n');
  assert.equal(decoded(bytes(0xff, 0xfe, 0x34, 0, 0x91, 0x21)), '4↑');
  assert.equal(decoded(bytes(0x34, 0xe9)), '4é');
  assert.throws(() => decoded(bytes(0, 1, 2)));
});
