// The engine in this browser: the same requests as the HTTP interface, the same
// bytes, without a server. It lives in a worker.

/** @typedef {{ status: number, type: string, body: Uint8Array }} Reply */
/** @typedef {{ version: string, file: string, bytes: number }} Manifest */

/**
 * What is built into this server; null where no engine fits it.
 * @param {string} base the folder of the assets, with a slash at its end
 * @returns {Promise<Manifest | null>}
 */
export async function offered(base) {
  const answer = await fetch(base + 'engine.json').catch(() => null);
  return answer?.ok ? answer.json() : null;
}

/**
 * Loads the engine.
 * @param {string} base the folder of the assets, with a slash at its end
 * @param {Manifest} manifest
 * @returns {Promise<Engine>} rejected where this browser cannot run it
 */
export function load(base, manifest) {
  const worker = new Worker(base + 'worker.js', { type: 'module' });
  return new Promise((resolve, reject) => {
    worker.onerror = (event) => reject(new Error(event.message || 'the engine cannot run here'));
    worker.onmessage = ({ data }) => {
      if (data.ready !== undefined) resolve(new Engine(worker, data.ready));
      else reject(new Error(data.failed));
    };
    worker.postMessage({ load: new URL(base + manifest.file, location.href).href });
  });
}

/** A running engine. */
export class Engine {
  /** @param {Worker} worker @param {string} version */
  constructor(worker, version) {
    this.worker = worker;
    this.version = version;
    this.last = 0;
    /** @type {Map<number, { resolve: (value: any) => void, reject: (error: Error) => void }>} */
    this.waiting = new Map();
    worker.onmessage = ({ data }) => this.answered(data);
  }

  /** @param {{ id: number, result?: any, error?: string }} data */
  answered({ id, result, error }) {
    const order = this.waiting.get(id);
    this.waiting.delete(id);
    if (error) order?.reject(new Error(error));
    else order?.resolve(result);
  }

  /**
   * One call of the worker. When the signal aborts before its turn has come, it
   * is never made.
   * @param {string} call @param {any[]} args @param {AbortSignal} [signal]
   * @returns {Promise<any>}
   */
  order(call, args, signal) {
    signal?.throwIfAborted();
    const id = ++this.last;
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { resolve, reject });
      signal?.addEventListener('abort', () => {
        this.worker.postMessage({ cancel: id });
        this.waiting.delete(id);
        reject(signal.reason);
      }, { once: true });
      this.worker.postMessage({ id, call, args });
    });
  }

  /**
   * Answers a request as HTTP would.
   * @param {string} resource such as "score" or "harps/A?layout=solo"
   * @param {object | null} request the JSON object of a POST; null for a GET
   * @param {AbortSignal} [signal]
   * @returns {Promise<Reply>}
   */
  ask(resource, request, signal) {
    return this.order('ask', [resource, request && JSON.stringify(request)], signal);
  }

  /**
   * Opens a sound, to be read in pieces.
   * @param {object} request @param {AbortSignal} [signal]
   * @returns {Promise<Sound | Reply>} a reply where the request is refused
   */
  async open(request, signal) {
    const opened = await this.order('open', [JSON.stringify(request)], signal);
    return opened.id ? new Sound(this, opened.id, opened.size) : opened;
  }
}

/** The WAV file of a request, made as it is read. */
export class Sound {
  /** @param {Engine} engine @param {number} id @param {number} size bytes */
  constructor(engine, id, size) {
    this.engine = engine;
    this.id = id;
    this.size = size;
  }

  /**
   * @param {number} offset @param {number} n bytes @param {AbortSignal} [signal]
   * @returns {Promise<Uint8Array>}
   */
  read(offset, n, signal) {
    return this.engine.order('read', [this.id, offset, Math.min(n, this.size - offset)], signal);
  }

  close() {
    return this.engine.order('close', [this.id]);
  }
}
