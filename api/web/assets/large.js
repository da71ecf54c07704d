// Only this note and the next, to be read from two metres.
import { byId, drawn, el } from './dom.js';
import { depths, label, outline } from './glyph.js';

/** @typedef {import('../types/index').Note} Note */

export class Large {
  /** @type {HTMLElement} */
  #box = byId('large');
  /** @type {Note | null} */
  #shown = null;

  get on() { return !this.#box.hidden; }

  /** @param {boolean} on */
  set on(on) {
    this.#box.hidden = !on;
    byId('as-large').setAttribute('aria-pressed', String(on));
  }

  /**
   * @param {Note | null} now
   * @param {Note | null} next
   */
  light(now, next) {
    if (!this.on || !now || now === this.#shown || now.role === 'slide') return;
    this.#shown = now;
    const [first, then] = this.#box.children;
    first.replaceChildren(sign(now), el('span', {}, words(now)));
    then.textContent = next ? 'then ' + words(next) : 'the end';
  }
}

/** @param {Note} note */
function words(note) {
  const [v] = note.voices;
  const technique = v.technique === 'bend' ? ', bend ' + v.semitones : v.technique === 'over' ? ', over' : '';
  return `${v.breath} ${note.voices.map(({ hole }) => hole).sort((a, b) => a - b).join(' ')}${technique}`;
}

/** @param {Note} note */
function sign(note) {
  const { breath } = note.voices[0];
  const svg = drawn('svg', { viewBox: '0 -36 40 72', class: 'g', 'aria-hidden': 'true' },
    drawn('path', { d: outline({ width: 40, breath, ...depths(note, null), shake: note.shake, grace: false, tie: false }), class: `shape ${breath}` }),
    drawn('path', { d: 'M0 0H40', class: 'axis' }),
    drawn('text', { x: 20, y: breath === 'draw' ? 15 : -7, class: 'number ' + breath }, label(note)));
  return svg;
}
