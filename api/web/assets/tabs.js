// The tabs that are kept on this device, in the browser's own database. Without
// one, in a private window or where storage is full, everything else works.

/**
 * @typedef {object} Tab
 * @property {string} id
 * @property {string} text
 * @property {string} title
 * @property {string} harp
 * @property {Record<string, any>} settings
 * @property {number} changed when, milliseconds
 * @property {number} played when, milliseconds; 0 for never
 */

const database = 'reedlark';
const version = 1;

/**
 * @template T
 * @param {IDBRequest<T>} request
 * @returns {Promise<T>}
 */
const done = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

export class Tabs {
  /** @type {Promise<IDBDatabase> | null} */
  #open = null;

  #database() {
    this.#open ??= new Promise((resolve, reject) => {
      const request = indexedDB.open(database, version);
      request.onupgradeneeded = () => {
        request.result.createObjectStore('tabs', { keyPath: 'id' });
        request.result.createObjectStore('settings');
      };
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    return this.#open;
  }

  /**
   * @template T
   * @param {'tabs' | 'settings'} name
   * @param {IDBTransactionMode} mode
   * @param {(store: IDBObjectStore) => IDBRequest<T>} use
   * @returns {Promise<T>}
   */
  async #with(name, mode, use) {
    const store = (await this.#database()).transaction(name, mode).objectStore(name);
    return done(use(store));
  }

  /** All tabs, the last used first. */
  async all() {
    const tabs = /** @type {Tab[]} */ (await this.#with('tabs', 'readonly', (store) => store.getAll()));
    return tabs.sort((a, b) => Math.max(b.played, b.changed) - Math.max(a.played, a.changed));
  }

  /**
   * @param {string} id
   * @returns {Promise<Tab | undefined>}
   */
  get(id) { return this.#with('tabs', 'readonly', (store) => store.get(id)); }

  // The first time, the browser is asked not to throw it away by itself.
  /** @param {Tab} tab */
  async keep(tab) {
    await this.#with('tabs', 'readwrite', (store) => store.put(tab));
    navigator.storage?.persist?.().catch(() => {});
  }

  /** @param {string} id */
  remove(id) { return this.#with('tabs', 'readwrite', (store) => store.delete(id)); }

  /**
   * @param {string} name
   * @returns {Promise<any>}
   */
  setting(name) { return this.#with('settings', 'readonly', (store) => store.get(name)); }

  /**
   * @param {string} name
   * @param {unknown} value
   */
  set(name, value) { return this.#with('settings', 'readwrite', (store) => store.put(value, name)); }

  /** Tabs, settings, caches and service workers of this page. */
  async forget() {
    (await this.#database()).close();
    this.#open = null;
    await done(indexedDB.deleteDatabase(database));
    for (const name of (await globalThis.caches?.keys()) ?? []) await caches.delete(name);
    for (const worker of (await navigator.serviceWorker?.getRegistrations()) ?? []) await worker.unregister();
  }
}

/**
 * All tabs as one file.
 * @param {Tab[]} tabs
 */
export const exported = (tabs) => JSON.stringify({ reedlark: 1, tabs: tabs.map(({ id, ...rest }) => rest) }, null, 1);

/**
 * The tabs of such a file; null where it is something else.
 * @param {string} text
 * @returns {Omit<Tab, 'id'>[] | null}
 */
export function imported(text) {
  if (!/^\s*\{/.test(text)) return null;
  try {
    const { reedlark, tabs } = JSON.parse(text);
    if (reedlark !== 1 || !Array.isArray(tabs)) return null;
    return tabs.filter((t) => typeof t?.text === 'string').map((t) => ({
      text: t.text, title: String(t.title ?? ''), harp: String(t.harp ?? ''), settings: Object(t.settings ?? {}),
      changed: Number(t.changed) || 0, played: Number(t.played) || 0,
    }));
  } catch {
    return null;
  }
}

/**
 * What the list calls a text that was not read yet.
 * @param {string} text
 */
export const titled = (text) => /^\s*title\s*:\s*(.+)/im.exec(text)?.[1].trim() ?? '';

/**
 * The text of a file, whatever wrote it: UTF-8, UTF-16 with its mark, else
 * Windows-1252. It throws where it is no text.
 * @param {ArrayBuffer} bytes
 */
export function decoded(bytes) {
  const [a, b] = new Uint8Array(bytes);
  const mark = a === 0xff && b === 0xfe ? 'utf-16le' : a === 0xfe && b === 0xff ? 'utf-16be' : '';
  const text = mark ? new TextDecoder(mark).decode(bytes) : unmarked(bytes);
  if (text.includes('\0')) throw new Error('It is no text.');
  return text.replace(/\r\n?/g, '\n');
}

/** @param {ArrayBuffer} bytes */
function unmarked(bytes) {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder('windows-1252').decode(bytes);
  }
}
