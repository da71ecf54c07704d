// Scores by hand, for tests that need no server.

/**
 * A note of a score, from its written form and place.
 * @param {string} text
 * @param {number} line
 * @param {number} column
 * @param {number} start beat
 * @param {number} beats
 * @param {object} more
 */
export function note(text, line, column, start, beats, more = {}) {
  const breath = text.startsWith('-') ? 'draw' : 'blow';
  const bend = (text.match(/\//g) ?? []).length;
  const voice = {
    hole: parseInt(text.replace(/\D/g, ''), 10) || 1, breath, technique: bend ? 'bend' : text.includes('*') ? 'over' : 'plain', semitones: bend,
    name: 'C5', midi: 72, cents: 0, hz: 440, from_hz: 440 * 2 ** (bend / 12), glide_seconds: 0.09,
  };
  return { line, column, length: text.length, text, start_beat: start, beats, start: 0.015 + start * 0.6, seconds: beats * 0.6, role: 'melody', voices: [voice], shake: text.includes('~'), ...more };
}

/**
 * A score of such notes and of lines as kind and text in turn.
 * @param {any[]} notes
 * @param {[string, string][]} lines
 * @param {object} more
 * @returns {any}
 */
export function score(notes, lines, more = {}) {
  const end = Math.max(...notes.map((n) => n.start_beat + n.beats));
  return {
    title: '', harp: { key: 'C', layout: 'richter', tuning: 'equal', a4: 440 }, tempo: 100, metre: '4/4', beats: end, seconds: end * 0.6, notes,
    lines: lines.map(([kind, text], i) => ({ line: i + 1, kind, text })), diagnostics: [], ...more,
  };
}
