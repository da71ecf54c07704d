// The player on other sites: the browser's own controls, the note that sounds
// marked in the text, and words where the sound cannot be had. It asks for
// nothing before it is played and keeps nothing.

const audio = document.getElementById('audio');
const status = document.getElementById('status');
const link = document.body.dataset.link;
let notes = null;
let lit = null;
let tries = 0;

if (audio) {
  audio.addEventListener('play', () => { load(); requestAnimationFrame(follow); });
  audio.addEventListener('playing', () => { status.textContent = ''; tries = 0; });
  audio.addEventListener('error', why);
}

async function load() {
  if (notes) return;
  const answer = await fetch('/v1/score?z=' + link).catch(() => null);
  if (answer?.ok) notes = (await answer.json()).notes;
}

// An audio element cannot say why it failed: asks for the header and tells.
async function why() {
  const answer = await fetch('/v1/score?z=' + link).catch(() => null);
  if (!answer) {
    status.textContent = 'The sound cannot be reached.';
  } else if (answer.ok || answer.status === 503 || answer.status === 429) {
    retry(Number(answer.headers.get('Retry-After')) || 1);
  } else {
    const problem = await answer.json().catch(() => ({}));
    status.textContent = problem.detail ?? 'The sound cannot be played.';
  }
}

function retry(after) {
  if (++tries > 5) {
    status.textContent = 'The server is busy. Try again later.';
    return;
  }
  const seconds = Math.min(60, after + tries - 1);
  status.textContent = `The server is busy. Trying again in ${seconds} s.`;
  setTimeout(() => { audio.load(); audio.play().catch(() => {}); }, 1000 * seconds);
}

const spans = new Map();
for (const span of document.querySelectorAll('.n')) spans.set(span.dataset.at, span);

function follow() {
  if (audio.paused) return light(null);
  requestAnimationFrame(follow);
  const t = audio.currentTime;
  const note = notes?.findLast((n) => n.start <= t);
  light(note && t < note.start + Math.max(note.seconds, 0.05) ? spans.get(note.line + ':' + note.column) : null);
}

function light(span) {
  if (lit === span) return;
  lit?.classList.remove('lit');
  span?.classList.add('lit');
  lit = span ?? null;
  // Only the box of the text scrolls, never the page the frame is in.
  const box = document.getElementById('sheet');
  if (span) box.scrollTop = span.offsetTop - box.offsetTop - box.clientHeight / 3;
}
