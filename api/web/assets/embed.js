// The player on other sites: the browser's own controls, the note that sounds
// marked in the text, and words where the sound cannot be had. It asks for
// nothing before it is played and keeps nothing.

export {}; // a module of its own

const audio = /** @type {HTMLAudioElement} */ (document.getElementById('audio'));
const says = /** @type {HTMLElement} */ (document.getElementById('status'));
const link = document.body.dataset.link;
const picture = /** @type {HTMLElement} */ (document.getElementById('picture'));
const roomForPicture = 360; // pixels a frame has to be high
const mostPicture = 1e6; // characters; more would hold up the page around
/** @typedef {import('../types/index').Note} Note */

/** @type {Map<string | undefined, Element>} */
const bars = new Map(); // notes of the picture by their index
/** @type {Note[] | null} */
let notes = null;
/** @type {Element[]} */
let lit = [];
/** @type {Note | null} */
let last = null;
let tries = 0;

if (audio) {
  audio.addEventListener('play', () => { load(); requestAnimationFrame(follow); });
  audio.addEventListener('playing', () => { says.textContent = ''; tries = 0; });
  audio.addEventListener('error', why);
}

async function load() {
  if (notes) return;
  const answer = await fetch('/v1/score?z=' + link).catch(() => null);
  if (!answer?.ok) return;
  notes = (await answer.json()).notes;
  if (innerHeight >= roomForPicture) draw().catch(() => {}); // the text shows it too
}

// The picture, one strip of it at a time. SVG from our own server, read as XML.
async function draw() {
  const svg = await (await fetch('/v1/picture?z=' + link)).text();
  if (svg.length > mostPicture) return;
  const root = new DOMParser().parseFromString(svg, 'image/svg+xml').documentElement;
  if (root.nodeName !== 'svg') return;
  picture.replaceChildren(document.importNode(root, true));
  for (const group of picture.querySelectorAll('.note')) bars.set(/** @type {SVGElement} */ (group).dataset.index, group);
  picture.hidden = false;
  strip(/** @type {SVGElement} */ (picture.querySelector('.system')));
}

/** @param {SVGElement} system */
function strip(system) {
  const { top, height } = system.dataset;
  const svg = /** @type {SVGSVGElement} */ (picture.firstChild);
  const box = `0 ${top} ${svg.viewBox.baseVal.width} ${height}`;
  if (svg.getAttribute('viewBox') !== box) svg.setAttribute('viewBox', box);
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

/** @type {Map<string | undefined, HTMLElement>} */
const spans = new Map();
for (const span of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('.n'))) spans.set(span.dataset.at, span);

function follow() {
  if (audio.paused) return light(null);
  requestAnimationFrame(follow);
  const t = audio.currentTime;
  const note = notes?.findLast((n) => n.start <= t);
  light(note && t < note.start + Math.max(note.seconds, 0.05) ? note : null);
}

/** @param {Note | null} note */
function light(note) {
  if (last === note) return;
  last = note;
  for (const node of lit) node.classList.remove('lit');
  const span = note && spans.get(note.line + ':' + note.column);
  const bar = note && bars.get(String(notes?.indexOf(note)));
  lit = [span, bar].flatMap((node) => node ?? []);
  for (const node of lit) node.classList.add('lit');
  if (bar) strip(/** @type {SVGElement} */ (bar.parentNode));
  // Only the box of the text scrolls, never the page the frame is in.
  const box = /** @type {HTMLElement} */ (document.getElementById('sheet'));
  if (span) box.scrollTop = span.offsetTop - box.offsetTop - box.clientHeight / 3;
}
