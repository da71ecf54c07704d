// The player on other sites: the browser's own controls, the sheet, and words
// where the sound cannot be had. It asks for nothing before somebody turns to it,
// and keeps nothing.

/** @typedef {import('../types/index').Note} Note */
/** @typedef {import('../types/index').Score} Score */

const audio = /** @type {HTMLAudioElement} */ (document.getElementById('audio'));
const says = /** @type {HTMLElement} */ (document.getElementById('status'));
const box = /** @type {HTMLElement} */ (document.getElementById('sheet'));
const tools = /** @type {HTMLElement} */ (document.getElementById('tools'));
const looping = /** @type {HTMLElement} */ (document.getElementById('loop-row'));
const speed = /** @type {HTMLElement} */ (document.getElementById('speed'));
const link = document.body.dataset.link;
const me = String(Math.random()); // tells this player from others of the same tab
const theme = new URLSearchParams(location.search).get('theme');
/** @type {Promise<void> | null} */
let loading = null;
/** @type {Score | null} */
let score = null;
/** @type {import('./sheet.js').Sheet | null} */
let sheet = null;
/** @type {{start: number, end: number} | null} */
let loop = null; // seconds
let tries = 0;

if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;

if (audio) {
  audio.addEventListener('play', () => { hushOthers(); load(); requestAnimationFrame(follow); });
  audio.addEventListener('playing', () => { says.textContent = ''; tries = 0; });
  audio.addEventListener('error', why);
  for (const turns of ['pointerenter', 'focusin', 'touchstart']) document.body.addEventListener(turns, () => load(), { once: true, passive: true });
  /** @type {HTMLElement} */ (document.getElementById('slower')).onclick = () => faster(-0.05);
  /** @type {HTMLElement} */ (document.getElementById('faster')).onclick = () => faster(0.05);
  looping.onclick = loopRow;
  addEventListener('message', ({ data }) => { if (data?.reedlark === 'playing' && data.player !== me) audio.pause(); });
}

// The height that shows all of it, for a page that listens.
new ResizeObserver(tellHeight).observe(box);
function tellHeight() {
  const main = /** @type {HTMLElement} */ (document.querySelector('main'));
  const height = Math.ceil(main.offsetHeight - box.clientHeight + box.scrollHeight + 24);
  if (parent !== window) parent.postMessage({ reedlark: 'height', height }, '*');
}

// The other players of the page stop. Frames without an origin share nothing but
// the page they are in.
function hushOthers() {
  for (let i = 0; i < parent.length; i++) if (parent[i] !== window) parent[i].postMessage({ reedlark: 'playing', player: me }, '*');
}

function load() {
  loading ??= draw().catch(() => { loading = null; }); // the text shows it too
  return loading;
}

async function draw() {
  const [answer, { Sheet }] = await Promise.all([fetch('/v1/score?z=' + link), import('./sheet.js')]);
  if (!answer.ok) return;
  score = await answer.json();
  sheet = new Sheet();
  sheet.follow = show;
  sheet.tapped = (note) => { audio.currentTime = Math.max(0, note.start - 0.015); audio.play().catch(() => {}); };
  await sheet.draw(/** @type {Score} */ (score));
  box.tabIndex = -1;
  tools.hidden = false;
  tellHeight();
}

// Only the box of the sheet scrolls, never the page the frame is in.
/** @param {Element} span */
function show(span) {
  box.scrollTop += span.getBoundingClientRect().top - box.getBoundingClientRect().top - box.clientHeight / 8;
}

/** @param {number} by */
function faster(by) {
  audio.playbackRate = Math.min(1.3, Math.max(0.4, Math.round(20 * (audio.playbackRate + by)) / 20));
  speed.textContent = Math.round(100 * audio.playbackRate) + ' %';
}

// Goes round the row that sounds, or no longer.
async function loopRow() {
  await load();
  if (!score || !sheet) return;
  const { rowRange } = await import('./settings.js');
  const note = score.notes.findLast((n) => n.start <= audio.currentTime + 0.02) ?? score.notes[0];
  const range = loop || !note ? null : rowRange(score, note);
  const beat = 60 / score.tempo;
  loop = range && { start: Math.max(0, note.start - (note.start_beat - range.from) * beat - 0.015), end: note.start + (range.to - note.start_beat) * beat };
  looping.setAttribute('aria-pressed', String(!!loop));
  sheet.range(range?.from ?? null, range?.to);
}

// An audio element cannot say why it failed: asks for the header and tells.
async function why() {
  const answer = await fetch(audio.src, { headers: { Range: 'bytes=0-43' } }).catch(() => null);
  if (!answer) {
    says.textContent = 'The sound cannot be reached.';
  } else if (answer.ok || answer.status === 503 || answer.status === 429) {
    retry(Number(answer.headers.get('Retry-After')) || 1);
  } else {
    const problem = await answer.json().catch(() => ({}));
    says.textContent = problem.detail ?? 'The sound cannot be played.';
  }
}

/** @param {number} after */
function retry(after) {
  if (++tries > 5) {
    says.textContent = 'The server is busy. Try again later.';
    return;
  }
  const seconds = Math.min(60, after + tries - 1);
  says.textContent = `The server is busy. Trying again in ${seconds} s.`;
  setTimeout(() => { audio.load(); audio.play().catch(() => {}); }, 1000 * seconds);
}

function follow() {
  if (audio.paused) return sheet?.light(null);
  requestAnimationFrame(follow);
  const t = audio.currentTime;
  if (loop && (t >= loop.end || t < loop.start - 0.05)) audio.currentTime = loop.start;
  const note = score?.notes.findLast((n) => n.start <= t);
  sheet?.light(note && t < note.start + Math.max(note.seconds, 0.05) ? note : null);
}
