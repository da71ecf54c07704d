import assert from 'node:assert/strict';
import { test } from 'node:test';
import { depths, high, label, outline, reach, spoken, step } from '../assets/glyph.js';
import { note } from './help.js';

const shape = { width: 40, breath: /** @type {const} */ ('blow'), begin: 0, depth: 0, end: 0, shake: false, grace: false, tie: false };
const heights = (/** @type {string} */ d) => [...d.matchAll(/[VL]?(-?[\d.]+)/g)].map((m) => Number(m[1]));

test('blown notes stand on the line, drawn ones hang below it', () => {
  assert.ok(Math.min(...heights(outline(shape))) === -high);
  const drawn = heights(outline({ ...shape, breath: 'draw' }));
  assert.ok(Math.min(...drawn) >= 0 && drawn.includes(high));
});

test('a bend lies one step further out for each semitone, and comes back where it is released', () => {
  for (const depth of [1, 2, 3]) {
    const d = outline({ ...shape, breath: 'draw', depth, end: depth });
    assert.ok(d.includes(` ${high + step * depth}`), d);
    assert.ok(outline({ ...shape, breath: 'draw', depth, end: 0 }).split(` ${high} `).length > 1);
  }
});

test('every outline is one closed path of numbers', () => {
  for (const width of [15, 19, 40, 150]) {
    for (const extra of [{}, { depth: 3, end: 3 }, { depth: 2 }, { shake: true }, { grace: true }, { tie: true }]) {
      const d = outline({ ...shape, ...extra, width });
      assert.match(d, /^M[^NaM]*Z$/);
    }
  }
});

test('a pitch that glides on takes the edge along', () => {
  assert.deepEqual(depths(/** @type {any} */ (note('-3//', 1, 1, 0, 1)), null), { begin: 0, depth: 2, end: 2 });
  assert.deepEqual(depths(/** @type {any} */ (note('-3//', 1, 1, 0, 1)), /** @type {any} */ (note('-3', 1, 1, 0, 1))), { begin: 0, depth: 2, end: 0 });
});

test('a label is as typed, with the sign where that leaves it out', () => {
  assert.equal(label(/** @type {any} */ (note('-4', 1, 1, 0, 1))), '−4');
  assert.equal(label(/** @type {any} */ (note('45~', 1, 1, 0, 1))), '45');
  const bracketed = note('-4', 1, 1, 0, 1, { text: '4' });
  assert.equal(label(/** @type {any} */ (bracketed)), '−4');
  assert.equal(label(/** @type {any} */ (note('-4', 1, 1, 0, 1, { text: 'D4' }))), 'D4');
});

test('a note aloud has its breath, its hole and its name', () => {
  assert.equal(spoken(/** @type {any} */ (note('-3//', 1, 1, 0, 1))), 'draw 3, bent by 2, C5');
  assert.equal(spoken(/** @type {any} */ (note('6*', 1, 1, 0, 1))), 'overblow 6, C5');
});

test('a row has room for its deepest bend', () => assert.equal(reach(/** @type {any} */ (note('-3///', 1, 1, 0, 1))), high + 3 * step));
