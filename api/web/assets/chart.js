// Every hole of the harp with its notes, bends and overs, to be lit and heard.
import { byId, el } from './dom.js';
import { ask } from './ask.js';

/** @typedef {import('../types/index').Chart} ChartData */
/** @typedef {import('../types/index').Pitch} Pitch */
/** @typedef {import('../types/index').Note} Note */

const depth = (/** @type {Pitch} */ p) => (p.tab.match(/\//g) ?? []).length;
const drawn = (/** @type {Pitch} */ p) => p.tab.startsWith('-');

// The rows of the chart, from the highest pitch of the blown side to the lowest
// of the drawn one. Each finds its note in a hole.
/** @type {[string, string, ((h: ChartData['holes'][number]) => Pitch | null | undefined) | null][]} */
const rows = [
  ['over', 'blow', (h) => (h.over && !drawn(h.over) ? h.over : null)],
  bend(2, 'blow'), bend(1, 'blow'),
  ['blow', 'blow', (h) => h.blow],
  ['hole', '', null],
  ['draw', 'draw', (h) => h.draw],
  bend(1, 'draw'), bend(2, 'draw'), bend(3, 'draw'),
  ['over', 'draw', (h) => (h.over && drawn(h.over) ? h.over : null)],
];

/**
 * @param {number} n
 * @param {string} breath
 * @returns {(typeof rows)[number]}
 */
function bend(n, breath) {
  return ['bend ' + n, breath, (h) => h.bends.find((b) => drawn(b) === (breath === 'draw') && depth(b) === n)];
}

export class Chart {
  /** @type {(tab: string) => void} */
  tapped = () => {};
  /** @type {HTMLElement} */
  #box = byId('chart');
  /** @type {Map<string, HTMLButtonElement>} */
  #cells = new Map(); // tab to button
  #shown = '';
  /** @type {HTMLButtonElement[]} */
  #lit = [];
  /** @type {HTMLButtonElement[]} */
  #pressed = [];

  constructor() { this.#box.addEventListener('keydown', (e) => this.#key(e)); }

  /**
   * Shows the harp a score is played on; own is its layout where that has no name.
   * @param {{key: string, layout: string, tuning: string, a4: number}} harp
   * @param {any} own
   */
  async show({ key, layout, tuning, a4 }, own) {
    const request = { tab: key, harp: key, layout: layout === 'custom' ? own : layout, tuning, a4 };
    const asked = JSON.stringify(request);
    if (asked === this.#shown) return;
    this.#shown = asked;
    const chart = await (await ask('harp', request)).json();
    if (asked === this.#shown) this.#draw(chart);
  }

  /** @param {ChartData} chart */
  #draw(chart) {
    this.#cells = new Map();
    const body = rows
      .map(([name, breath, find]) => this.#row(name, breath, find, chart.holes))
      .filter((row) => row.querySelector('button') || row.className === 'holes');
    const caption = el('caption', { textContent: `Harp in ${chart.key}, ${chart.layout.replace('-', ' ')}. Tap a note to hear it.` });
    this.#box.replaceChildren(el('table', { className: 'harp' }, caption, el('tbody', {}, ...body)));
    this.#box.querySelector('.blow button')?.setAttribute('tabindex', '0');
  }

  /**
   * @param {string} name
   * @param {string} breath
   * @param {(typeof rows)[number][2]} find
   * @param {ChartData['holes']} holes
   */
  #row(name, breath, find, holes) {
    if (!find) {
      return el('tr', { className: 'holes' }, el('th', { scope: 'row', textContent: 'hole' }),
        ...holes.map((h) => el('th', { scope: 'col', textContent: h.hole })));
    }
    const cells = holes.map((h) => {
      const p = find(h);
      return p ? el('td', {}, this.#cell(p)) : el('td');
    });
    const says = name === breath ? name : breath + ', ' + name;
    return el('tr', { className: name.split(' ')[0] }, el('th', { scope: 'row', 'aria-label': says, textContent: name }), ...cells);
  }

  /** @param {Pitch} p */
  #cell(p) {
    const button = el('button', { type: 'button', className: p.rare ? 'rare' : '', 'aria-label': `${p.tab}, ${p.name}` }, p.name);
    button.title = p.rare ? p.tab + ', played by few' : p.tab;
    button.tabIndex = -1;
    button.onclick = () => { this.#move(button); this.tapped(p.tab); };
    this.#cells.set(p.tab, button);
    return button;
  }

  /** @param {Note | null} note */
  light(note) { this.#lit = this.#mark('lit', this.#lit, note?.voices.map(tabOf) ?? []); }

  /**
   * Shows which notes were tapped, for as long as they sound.
   * @param {string[]} tabs
   */
  press(tabs) { this.#pressed = this.#mark('tapped', this.#pressed, tabs); }

  /**
   * @param {string} name
   * @param {HTMLButtonElement[]} before
   * @param {string[]} tabs
   */
  #mark(name, before, tabs) {
    const now = tabs.flatMap((tab) => this.#cells.get(tab) ?? []);
    for (const cell of before) cell.classList.remove(name);
    for (const cell of now) cell.classList.add(name);
    return now;
  }

  /** @param {HTMLButtonElement} button */
  #move(button) {
    this.#box.querySelector('[tabindex="0"]')?.setAttribute('tabindex', '-1');
    button.setAttribute('tabindex', '0');
    button.focus();
  }

  // The chart is one stop for the Tab key; arrows go from note to note.
  /** @param {KeyboardEvent} e */
  #key(e) {
    const cell = document.activeElement?.closest('td');
    const row = /** @type {HTMLTableRowElement | null} */ (cell?.parentElement ?? null);
    if (!cell || !row) return;
    const ways = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] });
    const way = ways[e.key];
    if (!way) return;
    e.preventDefault();
    const table = /** @type {HTMLTableElement} */ (row.closest('table'));
    for (let r = row.rowIndex + way[0], c = cell.cellIndex + way[1]; table.rows[r]?.cells[c]; r += way[0], c += way[1]) {
      const button = table.rows[r].cells[c].querySelector('button');
      if (button) return this.#move(button);
    }
  }
}

/**
 * A sounding reed as tab.
 * @param {Note['voices'][number]} v
 */
export function tabOf(v) {
  const marks = { plain: '', over: '*', bend: '/'.repeat(v.semitones) }[v.technique];
  return (v.breath === 'draw' ? '-' : '') + v.hole + marks;
}

/**
 * All the reeds of a note as one word of tab, to hear it alone.
 * @param {Note} note
 */
export function wordOf(note) {
  const holes = note.voices.map((v) => v.hole).sort((a, b) => a - b);
  return tabOf({ ...note.voices[0], hole: /** @type {any} */ (holes.join('')) }) + (note.shake ? '~' : '');
}
