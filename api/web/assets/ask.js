// Asks the HTTP interface, and waits politely where it is busy.
import { pack } from './link.js';

// Why the server would not: its problem document (RFC 9457).
export class Refusal extends Error {
  constructor(problem) {
    super(problem.detail || problem.title || 'The server did not say what is wrong.');
    this.problem = problem;
  }

  // Whether asking the same again would be refused again.
  get ofRequest() {
    const { status } = this.problem;
    return status >= 400 && status < 500 && status !== 429;
  }
}

const mostTries = 5;
const pause = (seconds) => new Promise((done) => setTimeout(done, 1000 * seconds));

// Answers about a whole request: by a link, so that caches can help, or by
// posting it where it is too long for a link.
export async function ask(resource, request, options = {}) {
  const z = await pack(request);
  const path = '/v1/' + resource;
  const unsigned = (error) => error.problem?.status === 403; // addresses are signed here; what is posted needs none
  if (z) {
    try {
      return await fetchPatiently(path + '?z=' + z, options);
    } catch (error) {
      if (!unsigned(error)) throw error;
    }
  }
  return fetchPatiently(path, {
    ...options, method: 'POST', body: JSON.stringify(request), headers: { 'Content-Type': 'application/json' },
  });
}

// Fetches; where the server says that it is busy, tells when it tries again.
export async function fetchPatiently(url, { waiting = () => {}, ...options } = {}) {
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

async function problemOf(answer) {
  try {
    return await answer.json();
  } catch {
    return { status: answer.status, detail: 'The server answered ' + answer.status + '.' };
  }
}
