// Asks for whatever the page needs, in one way: a resource and a request. Who
// answers is settled here, the server or an engine that runs in the page.
import { pack } from './link.js';

/** @typedef {import('../types/index').Request} Request */
/** @typedef {import('../types/index').AskOptions} AskOptions */

/** Why there is no answer: a problem document (RFC 9457). */
export class Refusal extends Error {
  /** @param {import('../types/index').Problem} problem */
  constructor(problem) {
    super(problem.detail || problem.title || 'The server did not say what is wrong.');
    this.problem = problem;
  }

  /** Whether asking the same again would be refused again. */
  get ofRequest() {
    const status = this.problem.status ?? 0;
    return status >= 400 && status < 500 && status !== 429;
  }
}

/** @type {import('../types/index').Answerer | null} */
let engine = null;

/**
 * Lets an engine answer what it can, instead of the server; null ends that.
 * @param {import('../types/index').Answerer | null} answerer
 */
export function useEngine(answerer) { engine = answerer; }

/**
 * The answer of a resource about a request. It is refused with a Refusal.
 * @param {string} resource
 * @param {Request} request
 * @param {AskOptions} options
 * @returns {Promise<Response>}
 */
export function ask(resource, request, options = {}) {
  if (engine?.answers(resource)) return engine.ask(resource, request, options);
  return askServer(resource, request, options);
}

/**
 * The path and query of a resource that has other parameters than a tab.
 * @type {Record<string, (request: Request) => Promise<string> | string>}
 */
const others = {
  codes: async (request) => '/codes?z=' + await pack(request),
  harp: async ({ harp, layout, tuning, a4 }) => (typeof layout === 'object'
    ? '/chart?z=' + await pack(/** @type {Request} */ ({ tab: harp, harp, layout, tuning, a4 }))
    : `/v1/harps/${encodeURIComponent(harp ?? 'C')}?` + new URLSearchParams(/** @type {any} */ ({ layout, tuning, a4 }))),
};

/**
 * Answers about a whole request: by a link, so that caches can help, or by
 * posting it where it is too long for a link.
 * @param {string} resource
 * @param {Request} request
 * @param {AskOptions} options
 */
async function askServer(resource, request, options) {
  if (others[resource]) return fetchPatiently(await others[resource](request), options);
  const z = await pack(request);
  const path = '/v1/' + resource;
  if (z) {
    try {
      return await fetchPatiently(path + '?z=' + z, options);
    } catch (error) {
      if (!(error instanceof Refusal) || error.problem.status !== 403) throw error; // addresses are signed here; what is posted needs none
    }
  }
  return fetchPatiently(path, {
    ...options, method: 'POST', body: JSON.stringify(request), headers: { 'Content-Type': 'application/json' },
  });
}

const mostTries = 5;
const pause = (/** @type {number} */ seconds) => new Promise((done) => setTimeout(done, 1000 * seconds));

/**
 * Fetches; where the server says that it is busy, tells when it tries again.
 * @param {string} url
 * @param {AskOptions & RequestInit} options
 */
async function fetchPatiently(url, { waiting = () => {}, ...options } = {}) {
  for (let tries = 1; ; tries++) {
    const answer = await fetch(url, options).catch((error) => {
      if (error.name === 'AbortError') throw error;
      throw new Refusal({ detail: 'The server cannot be reached. Your text is still here.' });
    });
    if (answer.ok) return answer;
    const busy = answer.status === 503 || answer.status === 429;
    if (!busy || tries === mostTries) throw new Refusal(await problemOf(answer));
    const seconds = Math.min(60, Number(answer.headers.get('Retry-After')) || 1) + tries - 1;
    waiting(seconds);
    await pause(seconds);
  }
}

/** @param {Response} answer */
async function problemOf(answer) {
  try {
    return await answer.json();
  } catch {
    return { status: answer.status, detail: 'The server answered ' + answer.status + '.' };
  }
}
