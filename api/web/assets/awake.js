// While a tune sounds the screen stays on, and it sounds with the ringer off too,
// where the browser knows how.

/** @type {any} */
let lock = null;
let wanted = false;

/** @param {boolean} playing */
export async function keepAwake(playing) {
  if (playing === wanted) return;
  wanted = playing;
  const session = /** @type {any} */ (navigator).audioSession;
  if (playing && session) session.type = 'playback';
  await hold();
}

async function hold() {
  if (!wanted) {
    const held = lock;
    lock = null;
    await held?.release();
    return;
  }
  if (lock || document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return;
  try {
    lock = await navigator.wakeLock.request('screen');
    lock.addEventListener('release', () => { lock = null; });
    if (!wanted) await hold();
  } catch {
    lock = null; // a battery that runs low may refuse it
  }
}

document.addEventListener('visibilitychange', hold);
