// Which tab is open: one that is kept here, one from a link, or the tune the page
// starts with; and how another comes to be open.
import { byId, later, say } from './dom.js';
import { Kept } from './kept.js';
import { decoded, imported, titled } from './tabs.js';

/** @typedef {import('./tabs.js').Tab} Tab */

const pieceSettings = ['harp', 'tempo', 'metre', 'swing', 'convention', 'layout', 'tuning', 'position'];
const mostBytes = 64 * 1024; // of a tab
const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(9)), (b) => b.toString(36).padStart(2, '0')).join('');

export class Book {
  another = () => {}; // another tab is open
  #editor;
  #settings;
  #kept = new Kept();
  #facts = { title: '', harp: '' };
  #later = later(400, () => this.#keep());
  #denied = false;

  /**
   * @param {import('./history.js').Editor} editor
   * @param {import('./settings.js').Settings} settings
   */
  constructor(editor, settings) {
    this.#editor = editor;
    this.#settings = settings;
    this.#kept.opened = (tab) => this.#open(tab);
    this.#kept.imports = () => byId('file').click();
    this.#kept.forgotten = () => { editor.owner = null; history.replaceState(null, '', location.href); };
    byId('open-tab').onclick = () => byId('file').click();
    byId('file').onchange = () => this.files(byId('file').files).finally(() => { byId('file').value = ''; });
    byId('clear').onclick = () => { this.#fresh(); editor.set('', 0, null); editor.field.focus(); };
    byId('undo').onclick = () => editor.undo();
    editor.field.addEventListener('paste', () => this.#pasted());
    addEventListener('dragover', (e) => { if (e.dataTransfer?.types.includes('Files')) e.preventDefault(); });
    addEventListener('drop', (e) => {
      if (!e.dataTransfer?.files.length) return;
      e.preventDefault();
      this.files(e.dataTransfer.files);
    });
    addEventListener('pagehide', () => this.#keep());
    addEventListener('beforeunload', (e) => { if (this.#denied && byId('too-long').textContent) e.preventDefault(); });
  }

  /** What the browser keeps beside the address, so that a reload finds its tab. */
  get state() { return this.#editor.owner ? { kept: this.#editor.owner } : null; }

  /**
   * Opens the last tab where the address asks for none.
   * @param {boolean} asked whether it asks for one
   */
  async begin(asked) {
    try {
      const own = history.state?.kept;
      if (asked && own && (await this.#kept.tabs.get(own))) this.#editor.owner = own;
      if (asked) return;
      const last = await this.#kept.tabs.setting('last');
      const tab = last && (await this.#kept.tabs.get(last));
      if (tab) this.#open(tab);
    } catch {
      this.#denied = true; // then nothing is kept, and nothing else changes
    }
  }

  /** The text is another: what was typed belongs to a tab of this device. */
  written() {
    if (!this.#editor.owner && this.#editor.text.trim() !== '') this.#editor.owner = newId();
    this.#later();
  }

  /**
   * What the score says of it, for the list.
   * @param {{title: string, harp: {key: string}}} score
   */
  learn(score) {
    this.#facts = { title: score.title, harp: score.harp.key };
    if (this.#editor.owner) this.#later();
  }

  /** It is played now. */
  async played() {
    if (this.#editor.owner) await this.#keep(Date.now());
  }

  // A paste over everything is another tab.
  #pasted() {
    const { selectionStart, selectionEnd, value } = this.#editor.field;
    if (selectionEnd - selectionStart < value.trim().length) return;
    this.#fresh();
    this.#editor.owner = null;
  }

  // What was typed a moment ago is kept before another tab takes its place.
  #fresh() {
    this.#keep();
    const keep = Object.entries(this.#settings.beside).filter(([name]) => !pieceSettings.includes(name));
    this.#settings.show(Object.fromEntries(keep));
    this.#facts = { title: '', harp: '' };
    this.another();
  }

  /** @param {Tab} tab */
  #open(tab) {
    this.#keep();
    this.#facts = { title: tab.title, harp: tab.harp };
    this.#settings.show(tab.settings);
    this.another();
    this.#editor.set(tab.text, 0, tab.id);
  }

  /** @param {number} played */
  async #keep(played = 0) {
    const id = /** @type {string | null} */ (this.#editor.owner);
    const { text } = this.#editor;
    const title = this.#facts.title || titled(text);
    const { harp } = this.#facts;
    const settings = this.#settings.beside;
    if (!id || text.trim() === '' || this.#denied) return;
    try {
      const before = await this.#kept.tabs.get(id);
      const changed = before && before.text === text ? before.changed : Date.now();
      await this.#kept.tabs.keep({ id, text, title, harp, settings, changed, played: played || (before?.played ?? 0) });
      await this.#kept.tabs.set('last', id);
    } catch {
      this.#denied = true;
      say('This browser keeps nothing for this page: save your tab as a file.');
    }
  }

  /**
   * Opens files: each is a tab of its own, the first is shown.
   * @param {Iterable<File>} files
   */
  async files(files) {
    const failed = [];
    let shown = false;
    for (const file of files) {
      try {
        for (const tab of await this.#read(file)) {
          if (!shown) this.#open(tab);
          else await this.#kept.tabs.keep(tab);
          shown = true;
        }
      } catch (error) {
        failed.push(`${file.name}: ${/** @type {Error} */ (error).message}`);
      }
    }
    byId('not-opened').textContent = failed.length ? 'Not opened: ' + failed.join('; ') : '';
  }

  /**
   * @param {File} file
   * @returns {Promise<Tab[]>}
   */
  async #read(file) {
    if (file.size > 50 * mostBytes) throw new Error('It is too large.');
    const text = decoded(await file.arrayBuffer());
    const many = imported(text);
    const now = Date.now();
    if (many) return many.map((tab) => ({ ...tab, id: newId() }));
    if (text.length > mostBytes) throw new Error('It is too large: a tab may have 64 KiB.');
    return [{ id: newId(), text, title: titled(text), harp: '', settings: {}, changed: now, played: 0 }];
  }
}
