// Every hole of the harp with its notes, bends and overs, to be lit and heard.
import { byId, el } from './dom.js';
import { fetchPatiently } from './ask.js';
import { pack } from './link.js';

const depth = (p) => (p.tab.match(/\//g) ?? []).length;
const drawn = (p) => p.tab.startsWith('-');

// The rows of the chart, from the highest pitch of the blown side to the lowest
// of the drawn one. Each finds its note in a hole.
const rows = [
  ['over', 'blow', (h) => (h.over && !drawn(h.over) ? h.over : null)],
  ...[2, 1].map((n) => ['bend ' + n, 'blow', (h) => h.bends.find((b) => !drawn(b) && depth(b) === n)]),
  ['blow', 'blow', (h) => h.blow],
  ['hole', '', null],
  ['draw', 'draw', (h) => h.draw],
  ...[1, 2, 3].map((n) => ['bend ' + n, 'draw', (h) => h.bends.find((b) => drawn(b) && depth(b) === n)]),
  ['over', 'draw', (h) => (h.over && drawn(h.over) ? h.over : null)],
];

export class Chart {
  tapped = () => {};
  #box = byId('chart');
  #cells = new Map(); // tab to button
  #shown = '';
  #lit = [];
  #pressed = [];

  // Shows the harp a score is played on; own is its layout where that has no name.
  async show({ key, layout, tuning, a4 }, own) {
    const url = layout === 'custom'
      ? '/chart?z=' + await pack({ tab: key, harp: key, layout: own, tuning, a4 })
      : `/v1/harps/${encodeURIComponent(key)}?` + new URLSearchParams({ layout, tuning, a4 });
    if (url === this.#shown) return;
    this.#shown = url;
    const chart = await (await fetchPatiently(url)).json();
    if (url === this.#shown) this.#draw(chart);
  }

  #draw(chart) {
    this.#cells = new Map();
    const body = rows
      .map(([name, breath, find]) => this.#row(name, breath, find, chart.holes))
      .filter((row) => row.querySelector('button') || row.className === 'holes');
    const caption = el('caption', { textContent: `Harp in ${chart.key}, ${chart.layout.replace('-', ' ')}. Tap a note to hear it.` });
    this.#box.replaceChildren(el('table', { className: 'harp' }, caption, el('tbody', {}, ...body)));
  }

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

  #cell(p) {
    const button = el('button', { type: 'button', className: p.rare ? 'rare' : '', 'aria-label': `${p.tab}, ${p.name}` }, p.name);
    button.title = p.rare ? p.tab + ', played by few' : p.tab;
    button.onclick = () => this.tapped(p.tab);
    this.#cells.set(p.tab, button);
    return button;
  }

  light(note) { this.#lit = this.#mark('lit', this.#lit, note?.voices.map(tabOf) ?? []); }

  // Shows which notes were tapped, for as long as they sound.
  press(tabs) { this.#pressed = this.#mark('tapped', this.#pressed, tabs); }

  #mark(name, before, tabs) {
    const now = tabs.map((tab) => this.#cells.get(tab)).filter(Boolean);
    for (const cell of before) cell.classList.remove(name);
    for (const cell of now) cell.classList.add(name);
    return now;
  }
}

// A sounding reed as tab.
export function tabOf(v) {
  const marks = { plain: '', over: '*', bend: '/'.repeat(v.semitones) }[v.technique];
  return (v.breath === 'draw' ? '-' : '') + v.hole + marks;
}

// All the reeds of a note as one word of tab, to hear it alone.
export function wordOf(note) {
  const holes = note.voices.map((v) => v.hole).sort((a, b) => a - b);
  return tabOf({ ...note.voices[0], hole: holes.join('') }) + (note.shake ? '~' : '');
}
