// The address that reopens the page, the codes for other sites, and files.
import { byId, el, say } from './dom.js';
import { pack } from './link.js';
import { ask, fetchPatiently } from './ask.js';

let unsaved = false; // whether leaving the page loses the text
let saved = ''; // the text that a file has
const saveButton = el('button', { type: 'button', textContent: 'Save it' });

addEventListener('beforeunload', (e) => { if (unsaved) e.preventDefault(); });

// Keeps the address in step with the page; loop is what goes into it beside
// the request. Answers whether all of it fits.
export async function keepAddress(request, loop) {
  const z = await pack({ ...request, ...loop });
  unsaved = !z && request.tab !== saved;
  const says = z ? [] : ['This tab is too long for a link: it will not come back by itself. Save it as a file. ', saveButton];
  if (byId('too-long').childNodes.length !== says.length) byId('too-long').replaceChildren(...says);
  if (!z) return false;
  history.replaceState(null, '', '/?z=' + z + location.hash);
  return true;
}

let offered; // the request whose sound can be saved

// The codes and downloads for a tab that can be played and fits a link.
export async function offer(request, title) {
  const z = await pack(request);
  offered = request;
  byId('codes').hidden = !z;
  for (const [id, path] of [['download', 'audio'], ['save-picture', 'picture'], ['save-notes', 'score']]) {
    byId(id).href = `/v1/${path}?z=${z}`;
  }
  await showCodes();
}

// The codes for other sites are written by the server alone, and only fetched
// where somebody looks at them.
async function showCodes() {
  if (!byId('embed').open || !offered) return;
  const request = offered;
  const codes = await (await fetchPatiently('/codes?z=' + await pack(request))).json();
  if (request !== offered) return;
  byId('frame-code').value = codes.frame;
  if (byId('audio-code')) byId('audio-code').value = codes.sound;
}

// Where addresses of sounds have to be signed, an address made here plays nothing:
// the sound is asked for as the page itself asks, and no code is given for it.
const signed = () => 'signed' in byId('codes').dataset;

async function saveSound(event, title) {
  event.preventDefault();
  try {
    download(await (await ask('audio', offered)).blob(), (title || 'tab') + '.wav');
  } catch (error) {
    say(error.message);
  }
}

// Buttons that need no knowledge of the tab but its text.
export function wireShare(text, title) {
  byId('embed').addEventListener('toggle', () => showCodes().catch((error) => say(error.message)));
  byId('copy-link').onclick = () => copy(location.href);
  byId('print').onclick = () => print();
  saveButton.onclick = byId('save-tab').onclick = () => save(text.value, (title() || 'tab') + '.txt');
  byId('open-tab').onclick = () => byId('file').click();
  byId('file').onchange = () => open(text);
  for (const code of byId('codes').querySelectorAll('textarea')) code.addEventListener('focus', (e) => e.target.select());
  if (signed()) byId('download').onclick = (e) => offered && saveSound(e, title());
}

// The clipboard is not there on every page; then the link is shown.
async function copy(text) {
  try {
    await navigator.clipboard.writeText(text);
    say('The link is copied.');
  } catch {
    byId('link-here').replaceChildren('Copy the link from here: ', el('a', { href: text, textContent: text }));
  }
}

// What was typed before can be brought back by undoing, where the browser can.
async function open(text) {
  const [file] = byId('file').files;
  if (!file) return;
  const words = await file.text();
  text.focus();
  text.select();
  if (!document.execCommand('insertText', false, words)) text.value = words;
  text.dispatchEvent(new Event('input', { bubbles: true }));
  byId('file').value = '';
}

function save(text, name) {
  saved = text;
  unsaved = false;
  download(new Blob([text], { type: 'text/plain;charset=utf-8' }), name);
}

function download(blob, name) {
  const url = URL.createObjectURL(blob);
  el('a', { href: url, download: name.replace(/[\\/:*?"<>|]/g, '-') }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}
