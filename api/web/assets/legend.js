// What the marks on the sheet mean, drawn as the sheet draws them.
import { drawn, el } from './dom.js';
import { outline } from './glyph.js';

const plain = { width: 30, begin: 0, depth: 0, end: 0, shake: false, grace: false, tie: false };

/** @type {[string, string, Partial<import('./glyph.js').Shape>, string?][]} */
const entries = [
  ['blow', 'Blow: stands on the line, open', {}],
  ['draw', 'Draw: hangs below the line, filled', {}],
  ['draw', 'Bend: one step away from the line for each half-step', { begin: 0, depth: 2, end: 2 }],
  ['draw', 'Bend and release', { begin: 0, depth: 2, end: 0, width: 44 }],
  ['blow', 'Over: a ring', {}, 'ring'],
  ['blow', 'Shake or vibrato: a wave along the edge', { shake: true }],
  ['blow', 'Slide: a stroke to the next note', {}, 'slide'],
  ['blow', 'Grace note: small', { grace: true, width: 16 }],
  ['blow', 'In brackets: dashed', {}, 'filler'],
];

export function legend() {
  return el('ul', { className: 'marks-key' }, ...entries.map(([breath, words, shape, extra]) => {
    const all = { ...plain, breath: /** @type {'blow' | 'draw'} */ (breath), ...shape };
    const svg = drawn('svg', { viewBox: `0 -28 ${all.width + 6} 60`, class: 'g', 'aria-hidden': 'true' },
      drawn('path', { d: outline(all), class: `shape ${breath} ${extra ?? ''}` }),
      ...(extra === 'ring' ? [drawn('rect', { x: 7, y: -18.5, width: 16, height: 16, rx: 8, class: 'ring ' + breath })] : []),
      ...(extra === 'slide' ? [drawn('path', { d: 'M24 -22L36 -27', class: 'slide' })] : []),
      drawn('path', { d: `M0 0H${all.width + 6}`, class: 'axis' }));
    svg.style.width = (all.width + 6) / 10 + 'em';
    return el('li', {}, svg, el('span', {}, words));
  }));
}
