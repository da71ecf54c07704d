// Lets the engine in this browser answer instead of the server, once it is here.
// It is fetched when the page has nothing else to do, and not at all where data is
// to be saved.
import { Refusal, useEngine } from './ask.js';
import { load, offered } from './engine.js';

/** @typedef {import('../types/index').Request} Request */
/** @typedef {import('./engine.js').Engine} Engine */

const base = '/assets/';
const piece = 48000; // bytes: half a second of sound
const resources = ['score', 'audio', 'picture', 'harp'];

/**
 * Fetches the engine if there is one, and tells when it answers.
 * @param {() => void} ready
 */
export function loadWhenIdle(ready = () => {}) {
  if (/** @type {any} */ (navigator).connection?.saveData) return;
  const idle = globalThis.requestIdleCallback ?? ((/** @type {() => void} */ run) => setTimeout(run, 2000));
  idle(async () => {
    try {
      const manifest = await offered(base);
      if (!manifest) return;
      useEngine(new Answers(await load(base, manifest)));
      ready();
    } catch {
      useEngine(null); // the server answers, as before
    }
  });
}

class Answers {
  /** @param {Engine} engine */
  constructor(engine) { this.engine = engine; }

  /** @param {string} resource */
  answers(resource) { return resources.includes(resource); }

  /**
   * @param {string} resource
   * @param {Request} request
   * @param {import('../types/index').AskOptions} options
   */
  async ask(resource, request, { signal } = {}) {
    if (resource === 'audio') return this.#sound(request, signal);
    if (resource === 'harp' && typeof request.layout === 'object') return fetch('/chart?z=' + await (await import('./link.js')).pack(request));
    const reply = resource === 'harp' ? await this.engine.ask(harp(request), null, signal) : await this.engine.ask(resource, request, signal);
    return answered(reply);
  }

  // The sound as it is made, half a second at a time.
  /**
   * @param {Request} request
   * @param {AbortSignal} [signal]
   */
  async #sound(request, signal) {
    const sound = await this.engine.open(request, signal);
    if ('status' in sound) return answered(sound);
    let at = 0;
    const body = new ReadableStream({
      async pull(to) {
        const bytes = await sound.read(at, piece, signal);
        at += bytes.length;
        to.enqueue(bytes);
        if (at < sound.size) return;
        to.close();
        sound.close();
      },
      cancel() { sound.close(); },
    }, { highWaterMark: 4 });
    return new Response(body, { headers: { 'Content-Type': 'audio/wav' } });
  }
}

/** @param {import('./engine.js').Reply} reply */
function answered({ status, type, body }) {
  if (status >= 400) throw new Refusal(JSON.parse(new TextDecoder().decode(body)));
  return new Response(/** @type {any} */ (body), { status, headers: { 'Content-Type': type } });
}

/** @param {Request} request */
function harp({ harp: key, layout, tuning, a4 }) {
  return `harps/${encodeURIComponent(key ?? 'C')}?` + new URLSearchParams(/** @type {any} */ ({ layout, tuning, a4 }));
}
