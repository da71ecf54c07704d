// The address that reopens the page, the codes for other sites, and files.
import { ask } from './ask.js';
import { byId, el, say } from './dom.js';
import { pack } from './link.js';

/** @typedef {import('../types/index').Request} Request */

/** @type {Request | null} */
let offered = null; // the request whose sound can be saved

/**
 * Keeps the address in step with the page; loop is what goes into it beside
 * the request. Answers whether all of it fits.
 * @param {Request} request
 * @param {{from?: any, to?: any}} loop
 * @param {unknown} state what the browser keeps beside the address
 */
export async function keepAddress(request, loop, state) {
  const z = await pack({ ...request, ...loop });
  byId('too-long').textContent = z ? '' : 'This tab is too long for a link: save it as a file to share it.';
  history.replaceState(state, '', (z ? '/?z=' + z : '/') + location.hash);
  return z !== '';
}

/**
 * The codes and downloads for a tab that can be played and fits a link.
 * @param {Request} request
 */
export async function offer(request) {
  offered = request;
  const z = await pack(request);
  if (request !== offered) return;
  byId('codes').hidden = !z;
  for (const [id, path] of [['download', 'audio'], ['save-picture', 'picture'], ['save-notes', 'score']]) {
    byId(id).href = `/v1/${path}?z=${z}`;
  }
  await showCodes();
}

/** Nothing can be played or saved: links to what was before would be wrong. */
export function withdraw() {
  offered = null;
  byId('codes').hidden = true;
  for (const id of ['download', 'save-picture', 'save-notes']) byId(id).removeAttribute('href');
  for (const id of ['frame-code', 'audio-code']) if (byId(id)) byId(id).value = '';
}

// The codes for other sites are written by the server alone, and only fetched
// where somebody looks at them.
async function showCodes() {
  if (!byId('embed').open || !offered) return;
  const request = offered;
  const codes = await (await ask('codes', request)).json();
  if (request !== offered) return;
  byId('frame-code').value = codes.frame;
  if (byId('audio-code')) byId('audio-code').value = codes.sound;
}

// Where addresses of sounds have to be signed, an address made here plays nothing:
// the sound is asked for as the page itself asks, and no code is given for it.
const signed = () => 'signed' in byId('codes').dataset;

/**
 * @param {Event} event
 * @param {string} title
 */
async function saveSound(event, title) {
  event.preventDefault();
  if (!offered) return;
  try {
    download(await (await ask('audio', offered)).blob(), title + '.wav');
  } catch (error) {
    say(/** @type {Error} */ (error).message);
  }
}

/**
 * Buttons that need no knowledge of the tab but its text.
 * @param {() => string} text
 * @param {() => string} title
 */
export function wireShare(text, title) {
  byId('embed').addEventListener('toggle', () => showCodes().catch((error) => say(error.message)));
  byId('copy-link').onclick = () => copy(location.href);
  byId('print').onclick = () => print();
  byId('save-tab').onclick = () => saveText(text(), title());
  for (const code of byId('codes').querySelectorAll('textarea')) code.addEventListener('focus', () => code.select());
  if (signed()) byId('download').onclick = (/** @type {Event} */ e) => saveSound(e, title());
}

// The clipboard is not there on every page; then the link is shown.
/** @param {string} text */
async function copy(text) {
  try {
    await navigator.clipboard.writeText(text);
    say('The link is copied.');
  } catch {
    byId('link-here').replaceChildren('Copy the link from here: ', el('a', { href: text, textContent: text }));
  }
}

/**
 * @param {string} text
 * @param {string} title
 */
export const saveText = (text, title) => download(new Blob([text], { type: 'text/plain;charset=utf-8' }), title + '.txt');

/**
 * @param {Blob} blob
 * @param {string} name
 */
export function download(blob, name) {
  const url = URL.createObjectURL(blob);
  el('a', { href: url, download: name.replace(/[\\/:*?"<>|]/g, '-') }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}
