// The page: ties the text, the sound and what shows it together.
import { byId, later, say } from './dom.js';
import { ask, Refusal } from './ask.js';
import { clockText, noteAt } from './beats.js';
import { Chart, tabOf, wordOf } from './chart.js';
import { Picture } from './picture.js';
import { Practise } from './practise.js';
import { Problems } from './problems.js';
import { Settings } from './settings.js';
import { keepAddress, offer, wireShare } from './share.js';
import { Sheet } from './sheet.js';
import { Transport } from './transport.js';
import { Tune } from './tune.js';

for (const node of document.querySelectorAll('.js')) node.hidden = false;
for (const node of document.querySelectorAll('.nojs')) node.remove();

const form = byId('form');
const text = byId('tab');
const settings = new Settings(form);
const practise = new Practise();
const sheet = new Sheet();
const picture = new Picture();
const chart = new Chart();
const waiting = (seconds) => say(`All players are busy. Trying again in ${seconds} s.`);
const transport = new Transport(practise, { waiting }, failed);
const soon = later(250, refresh);
const problems = new Problems(text, soon);
let asked = 0;
let part = settings.part;
let again = 0; // the timer of the next try
const pause = 5; // seconds until then

function failed(error) {
  if (!(error instanceof Refusal)) console.error(error);
  say(error.message);
}

// Reads the page anew: the server says what it makes of it.
async function refresh() {
  const mine = ++asked;
  clearTimeout(again);
  const { request } = settings;
  keepAddress(request, loopInAddress());
  try {
    const tune = await Tune.open(request, { waiting });
    if (mine === asked) await show(tune);
  } catch (error) {
    if (mine === asked) (error.ofRequest ? refuse : away)(error);
  }
}

// The server is not to be had: the text waits for it.
function away(error) {
  failed(error);
  say(`${error.message} Trying again in ${pause} s.`);
  again = setTimeout(refresh, 1000 * pause);
}

async function show(tune) {
  const { score, request } = tune;
  say('');
  byId('toggle').disabled = false;
  document.querySelector('h1').textContent = score.title || 'A tab without a title';
  document.title = (score.title ? score.title + ' – ' : '') + 'Reedlark: harmonica tab you can hear';
  byId('setting').textContent = `Harp in ${score.harp.key}, ${tidy(score.tempo)} beats a minute` + (score.metre ? ', ' + score.metre : '');
  byId('tempo').placeholder = 'as written: ' + tidy(score.tempo);
  problems.show(score.diagnostics);
  sheet.draw(score);
  offer(request, score.title);
  const swapped = transport.swap(tune);
  byId('seek').max = score.seconds;
  await Promise.all([swapped, drawPicture(tune), chart.show(score.harp, request.layout)].map((p) => p.catch(failed)));
  practise.learn(score.beats, picture.bars);
  if (part) adoptPart(score);
  showRange();
}

async function drawPicture(tune) {
  const svg = await (await ask('picture', tune.request, { waiting })).text();
  if (transport.tune === tune) picture.draw(svg, tune);
}

// Nothing can be played; what was there before stays to be read.
function refuse(error) {
  const diagnostics = error.problem?.diagnostics;
  problems.show(diagnostics ?? [], diagnostics ? '' : error.message);
  transport.stop();
  byId('toggle').disabled = true;
  say('Nothing can be played until the text is put right.');
  const { harp = 'C', layout = 'richter', tuning = 'equal', a4 = 440 } = settings.request;
  chart.show({ key: harp, layout: layout.blow ? 'custom' : layout, tuning, a4 }, layout).catch(() => {}); // the status has what matters more
}

const tidy = (x) => Number(x.toFixed(2));
// What stands in the address beside the request: the part it was opened with
// until that is the loop, then the loop.
const loopInAddress = () => part ?? (practise.on && practise.range ? practise.range : {});

function adoptPart(score) {
  const loop = settings.partIn(score);
  part = null;
  if (!loop) return;
  practise.set(loop.from, loop.to);
  practise.on = byId('practise').open = true;
  practise.changed();
}

function showRange() {
  const range = practise.on && !practise.whole ? practise.range : null;
  sheet.range(range?.from ?? null, range?.to);
  picture.range(range?.from ?? null, range?.to);
}

function tapped(note) {
  const mode = byId('tap').value;
  if (mode === 'hear') hear(wordOf(note), note.voices.map(tabOf));
  else if (mode === 'from') transport.play(note.start_beat);
  else say(practise.tap(note));
}
sheet.tapped = tapped;
picture.tapped = tapped;
chart.tapped = (word) => hear(word, [word]);
transport.hushed = () => chart.press([]);
picture.dragged = (from, to, done) => {
  if (!done) return picture.range(from, to);
  practise.set(from, to);
  practise.on = byId('practise').open = true;
  practise.changed();
  say('The loop is set.');
};

function hear(word, tabs) {
  chart.press(tabs);
  transport.hear(word);
}

form.addEventListener('submit', (e) => { e.preventDefault(); refresh(); });
form.addEventListener('input', (e) => (e.target.tagName === 'SELECT' ? refresh() : soon())); // a choice is made, words are being typed
byId('slower').onclick = () => changeTempo(-5);
byId('faster').onclick = () => changeTempo(5);

function changeTempo(by) {
  const now = Number(byId('tempo').value) || transport.tune?.score.tempo || 100;
  byId('tempo').value = Math.min(400, Math.max(20, tidy(now + by)));
  soon();
}

practise.changed = () => {
  showRange();
  keepAddress(settings.request, loopInAddress());
  if (transport.playing) transport.play(() => transport.beat());
};
for (const hint of ['pointerenter', 'pointerdown', 'focus']) byId('toggle').addEventListener(hint, () => transport.prepare());
byId('toggle').onclick = () => {
  sheet.watch();
  if (transport.playing) transport.stop();
  else transport.play(seekBeat());
};

// Where the slider stands, in beats; null for the very beginning.
function seekBeat() {
  const seconds = Number(byId('seek').value);
  return seconds > 0 && transport.tune ? transport.tune.beats.at(seconds) : null;
}
byId('seek').addEventListener('change', () => { if (transport.playing) transport.play(seekBeat()); });
byId('seek').addEventListener('input', () => { byId('clock').textContent = clockText(Number(byId('seek').value)); });

transport.changed = () => {
  const on = transport.playing;
  byId('toggle').classList.toggle('on', on);
  byId('toggle').querySelector('.word').textContent = on ? 'Stop' : 'Play';
  if (on) requestAnimationFrame(follow);
  else light(null);
};
transport.rung = (percent, tempo) => {
  byId('rung').textContent = percent === null ? '' : `${tidy(percent)} %: ${tidy(tempo)} beats a minute`;
};

function light(note) {
  for (const view of [sheet, picture, chart]) view.light(note);
}

// Marks what is heard now, by the clock of the sound.
function follow() {
  if (!transport.playing) return;
  requestAnimationFrame(follow);
  const heard = transport.heard();
  if (!heard) return;
  const note = noteAt(heard.tune.score.notes, heard.seconds);
  light(byId('follow').checked ? note : null);
  if (document.activeElement === byId('seek') && byId('seek').matches(':active')) return;
  const seconds = transport.tune.beats.seconds(heard.tune.beats.at(heard.seconds));
  byId('seek').value = seconds;
  byId('clock').textContent = clockText(seconds);
}

byId('names').onchange = () => byId('sheet').classList.toggle('named', byId('names').checked);
wireShare(text, () => transport.tune?.score.title);
refresh();
