// The page: ties the text, the sound and what shows it together.
import { ask, Refusal } from './ask.js';
import { tidy } from './beats.js';
import { Book } from './book.js';
import { Chart, tabOf, wordOf } from './chart.js';
import { Deck } from './deck.js';
import { showDialect, withHeader } from './dialect.js';
import { byId, later, say } from './dom.js';
import { Editor } from './history.js';
import { wireKeys } from './keys.js';
import { Large } from './large.js';
import { legend } from './legend.js';
import { loadWhenIdle } from './offline.js';
import { barsOf, Picture } from './picture.js';
import { Practise } from './practise.js';
import { Problems } from './problems.js';
import { partIn, Settings } from './settings.js';
import { keepAddress, offer, wireShare, withdraw } from './share.js';
import { Sheet } from './sheet.js';
import { Transport } from './transport.js';
import { Tune } from './tune.js';

/** @typedef {import('../types/index').Note} Note */
/** @typedef {import('../types/index').Request} Request */

for (const node of document.querySelectorAll('.js')) /** @type {HTMLElement} */ (node).hidden = false;
for (const node of document.querySelectorAll('.nojs')) node.remove();
document.body.classList.add('scripted');

const form = byId('form');
const settings = new Settings(form);
const practise = new Practise();
const sheet = new Sheet();
const picture = new Picture();
const chart = new Chart();
const large = new Large();
const waiting = (/** @type {number} */ seconds) => say(`All players are busy. Trying again in ${seconds} s.`);
const transport = new Transport(practise, { waiting }, failed);
const deck = new Deck(transport, practise);
const soon = later(250, refresh);
const editor = new Editor(byId('tab'), () => { book.written(); soon(); });
const book = new Book(editor, settings);
const problems = new Problems(editor, sheet);
const pause = 5; // seconds until a server that is away is asked again
let asked = 0;
/** @type {{from?: any, to?: any} | null} */
let part = settings.part; // of the address, until the score says which beats it is
let again = 0; // the timer of the next try
/** @type {Note | null} */
let lit = null;

/** @param {any} error */
function failed(error) {
  if (!(error instanceof Refusal)) console.error(error);
  say(error.message);
}

// Reads the page anew.
async function refresh() {
  const mine = ++asked;
  clearTimeout(again);
  const { request } = settings;
  keepAddress(request, loopInAddress(), book.state);
  try {
    const tune = await Tune.open(request, { waiting });
    const tempo = request.tempo ? await pageTempo(request) : tune.score.tempo;
    if (mine === asked) await show(tune, tempo);
  } catch (error) {
    if (mine === asked) await (/** @type {any} */ (error).ofRequest ? refuse : away)(/** @type {any} */ (error), request);
  }
}

// The tempo of the page itself, where another is asked for.
/** @param {Request} request */
async function pageTempo({ tempo, ...request }) {
  const score = await (await ask('score', /** @type {Request} */ (request), { waiting })).json();
  return score.tempo;
}

// The server is not to be had: the text waits for it.
/**
 * @param {Error} error
 * @param {Request} request
 */
function away(error, request) {
  failed(error);
  if (request.tab !== transport.tune?.request.tab) unread(request.tab);
  say(`${error.message} Trying again in ${pause} s.`);
  again = setTimeout(refresh, 1000 * pause);
}

/**
 * @param {Tune} tune
 * @param {number} tempo of the page
 */
async function show(tune, tempo) {
  const { score, request } = tune;
  say('');
  document.body.classList.remove('unread');
  head(score.title || 'Untitled', score.title, `Harp in ${score.harp.key} · ${tidy(score.tempo)} beats a minute` + (score.metre ? ' · ' + score.metre : ''));
  byId('tempo').placeholder = 'as written: ' + tidy(tempo);
  showDialect(score.dialect, (header) => editor.set(withHeader(editor.text, header)));
  book.learn(score);
  offer(request).catch(failed);
  const swapped = transport.swap(tune);
  deck.learn(score, tempo);
  practise.learn(score.beats, []);
  await sheet.draw(score);
  if (transport.tune !== tune) return;
  problems.show(score.diagnostics);
  picture.clear();
  await Promise.all([swapped, drawPicture(), chart.show(score.harp, request.layout)].map((p) => p?.catch(failed)));
  if (part) adoptPart(score);
  showRange();
}

/**
 * @param {string} title
 * @param {string} inWindow
 * @param {string} setting
 */
function head(title, inWindow, setting) {
  byId('title').textContent = title;
  document.title = (inWindow ? inWindow + ' – ' : '') + 'Reedlark: harmonica tab you can hear';
  byId('setting').textContent = setting;
}

// The picture is made where somebody looks at it, or needs its bars.
async function drawPicture() {
  const { tune } = transport;
  if (!tune || !(document.body.classList.contains('pictured') || byId('practise').open || practise.on)) return;
  const svg = await (await ask('picture', tune.request, { waiting })).text();
  if (transport.tune !== tune) return;
  practise.learn(tune.score.beats, barsOf(svg));
  if (document.body.classList.contains('pictured')) picture.draw(svg, tune);
  showRange();
}

// What cannot be read is shown as it is typed; nothing of the tab before stays.
/** @param {string} text */
async function unread(text) {
  deck.clear();
  withdraw();
  head('Not read yet', '', '');
  picture.clear();
  large.on = false;
  document.body.classList.add('unread');
  lit = null;
  await sheet.plain(text);
}

/**
 * @param {any} error
 * @param {Request} request
 */
async function refuse(error, request) {
  const diagnostics = error.problem?.diagnostics;
  const mine = asked;
  await unread(request.tab);
  if (mine !== asked) return;
  showDialect(error.problem?.dialect, (header) => editor.set(withHeader(editor.text, header)));
  problems.show(diagnostics ?? [], diagnostics ? '' : error.message);
  say(request.tab.trim() ? 'Nothing can be played until the text is put right.' : 'Paste a tab, or write one.');
  const { harp = 'C', layout = 'richter', tuning = 'equal', a4 = 440 } = settings.request;
  chart.show({ key: harp, layout: typeof layout === 'object' ? 'custom' : layout, tuning, a4 }, layout).catch(() => {}); // the status has what matters more
}

// What stands in the address beside the request: the part it was opened with
// until that is the loop, then the loop.
const loopInAddress = () => part ?? (practise.on && practise.range ? practise.range : {});

/** @param {import('../types/index').Score} score */
function adoptPart(score) {
  const loop = partIn(part ?? {}, score);
  part = null;
  if (loop) practise.loop(loop);
}

function showRange() {
  const range = practise.on && !practise.whole ? practise.range : null;
  sheet.range(range?.from ?? null, range?.to);
  picture.range(range?.from ?? null, range?.to);
  deck.showLoop();
}

/** @param {Note} note */
function tapped(note) {
  const mode = byId('tap').value;
  if (mode === 'hear') hear(wordOf(note), note.voices.map(tabOf));
  else if (mode === 'loop') say(practise.tap(note));
  else {
    deck.position = note.start_beat;
    deck.play(note.start_beat);
  }
}
sheet.tapped = tapped;
picture.tapped = tapped;
chart.tapped = (/** @type {string} */ word) => hear(word, [word]);
transport.hushed = () => chart.press([]);
picture.dragged = (/** @type {number} */ from, /** @type {number} */ to, /** @type {boolean} */ done) => {
  if (!done) return picture.range(from, to);
  practise.loop({ from, to });
  say('The loop is set.');
};

/**
 * @param {string} word
 * @param {string[]} tabs
 */
function hear(word, tabs) {
  chart.press(tabs);
  transport.hear(word);
}

deck.focused = () => sheet.focused;
deck.started = () => { sheet.watch(); book.played(); };
deck.tempoChanged = soon;
deck.light = (/** @type {Note | null} */ note) => {
  if (note === lit) return;
  lit = note;
  for (const view of [sheet, picture, chart]) view.light(note);
  large.light(note, note && sheet.after(note));
};

practise.changed = () => {
  showRange();
  drawPicture().catch(failed);
  keepAddress(settings.request, loopInAddress(), book.state);
  if (transport.playing) transport.goOn();
};

// Another tab has nothing of the one before.
book.another = () => {
  part = null;
  transport.stop();
  practise.clear();
  deck.position = 0;
  if (location.hash) history.replaceState(history.state, '', location.pathname + location.search);
};

form.addEventListener('submit', (/** @type {Event} */ e) => { e.preventDefault(); refresh(); });
for (const field of form.elements) {
  if (field.name && field.name !== 'tab') field.addEventListener('input', field.tagName === 'SELECT' ? refresh : soon); // a choice is made, numbers are being typed
}
byId('practise').addEventListener('toggle', () => drawPicture().catch(failed));
byId('write').onclick = () => {
  const open = document.body.classList.toggle('writing');
  byId('write').setAttribute('aria-expanded', String(open));
  byId('write').textContent = open ? 'Sheet' : 'Write';
  if (open) editor.field.focus();
};
byId('as-picture').onclick = () => {
  const on = document.body.classList.toggle('pictured');
  byId('as-picture').setAttribute('aria-pressed', String(on));
  drawPicture().catch(failed);
};
byId('as-large').onclick = () => {
  large.on = !large.on;
  const note = lit ?? transport.tune?.score.notes[0] ?? null;
  large.light(note, note && sheet.after(note));
};
byId('legend').append(legend());
wireShare(() => editor.text, () => transport.tune?.score.title || 'tab');
wireKeys({
  ' ': () => deck.toggle(), Home: () => { deck.toStart(); sheet.toStart(); }, l: () => deck.loopRow(),
  '+': () => deck.faster(5), '-': () => deck.faster(-5), '−': () => deck.faster(-5),
});

// A link to a row: play begins there, at once where somebody followed it here.
/** @param {boolean} followed */
function toRow(followed) {
  const line = Number(location.hash.match(/^#L(\d+)$/)?.[1]);
  const first = line && transport.tune?.score.notes.find((n) => n.line >= line && n.role !== 'slide');
  if (!first) return;
  deck.position = first.start_beat;
  sheet.rowAt(line)?.scrollIntoView({ block: 'start' });
  if (followed) deck.play(first.start_beat);
}
addEventListener('hashchange', () => toRow(true));

await book.begin(!('fresh' in form.dataset));
await refresh();
toRow(false);
if ('engine' in document.body.dataset) loadWhenIdle();
