import assert from 'node:assert/strict';
import { test } from 'node:test';
import { beatsOf, clockText, noteAt } from '../assets/beats.js';
import { note, score } from './help.js';

const eight = score([0, 1, 2, 3, 4, 5, 6, 7].map((b) => note('4', 1, 1 + 2 * b, b, 1)), [['tab', '4 4 4 4 4 4 4 4']]);

test('a place in the sound is a beat and back', () => {
  const beats = beatsOf(eight);
  for (const b of [0, 1, 2.5, 7.9]) assert.ok(Math.abs(beats.at(beats.seconds(b)) - b) < 1e-9);
});

test('the notes dying away are the end, not the beginning', () => {
  const beats = beatsOf(eight);
  for (const tail of [0, 0.1, 0.41, 3]) assert.equal(beats.at(beats.zero + beats.length + tail), 8);
});

test('what comes before the first beat is the beginning', () => {
  const counted = score(eight.notes.map((n) => ({ ...n, start: n.start + 2.4 })), [['tab', '']]);
  assert.equal(beatsOf(counted).at(1), 0);
  assert.ok(Math.abs(beatsOf(counted).zero - 2.415) < 1e-9);
});

test('rounds begin anew, and the tail of the last is the end', () => {
  const beats = beatsOf({ ...eight, beats: 24 }, 0, 3);
  assert.ok(Math.abs(beats.at(beats.zero + beats.length + 0.6) - 1) < 1e-9);
  assert.equal(beats.at(beats.zero + 3 * beats.length + 0.2), 8);
});

test('a sound that begins at a beat says so', () => {
  const later = score(eight.notes.slice(4).map((n) => ({ ...n, start: n.start - 2.4 })), [['tab', '']], { beats: 4 });
  const beats = beatsOf(later, 4);
  assert.equal(beats.at(0), 4);
  assert.equal(beats.at(99), 8);
});

test('the note that sounds is the last that has begun and not ended', () => {
  assert.equal(noteAt(eight.notes, 0.7)?.start_beat, 1);
  assert.equal(noteAt(eight.notes, 0), null);
  assert.equal(noteAt(eight.notes, 60), null);
});

test('a clock has two digits of seconds', () => assert.deepEqual([0, 9.9, 65].map(clockText), ['0:00', '0:09', '1:05']));
