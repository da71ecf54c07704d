// The list of tabs that are kept on this device.
import { byId, el, say } from './dom.js';
import { download } from './share.js';
import { exported, Tabs } from './tabs.js';

/** @typedef {import('./tabs.js').Tab} Tab */

const many = 10; // tabs after which a copy in a file is offered

export class Kept {
  /** @type {(tab: Tab) => void} */
  opened = () => {};
  forgotten = () => {};
  imports = () => {};
  tabs = new Tabs();
  /** @type {HTMLDialogElement} */
  #box = byId('kept');
  /** @type {Tab | null} */
  #deleted = null;
  #search = el('input', { type: 'search', id: 'kept-search', autocomplete: 'off' });
  #list = el('ul', { className: 'kept-list' });
  #says = el('p', { role: 'status' });

  constructor() {
    byId('mine').onclick = () => this.show();
    this.#search.oninput = () => this.#fill();
    const button = (/** @type {string} */ text, /** @type {() => void} */ onclick, className = '') => el('button', { type: 'button', textContent: text, onclick, className });
    this.#box.append(
      el('h2', { id: 'kept-head', textContent: 'Kept on this device' }),
      el('div', { className: 'field' }, el('label', { htmlFor: 'kept-search', textContent: 'Find a tab' }), this.#search),
      this.#says, this.#list,
      el('p', { className: 'tools' }, button('Export all', () => this.#export()), ' ', button('Import or open files', () => this.imports()), ' ', button('Forget everything', () => this.#forget(), 'forget')),
      el('p', { className: 'small', textContent: 'Your tabs are in this browser and nowhere else. Some browsers delete them after a week without a visit, and a private window does when you close it. An exported file keeps them.' }),
      el('form', { method: 'dialog' }, el('button', { textContent: 'Close' })),
    );
  }

  async show() {
    this.#deleted = null;
    this.#says.textContent = '';
    await this.#fill();
    if (!this.#box.open) this.#box.showModal();
  }

  async #fill() {
    try {
      const all = await this.tabs.all();
      const words = this.#search.value.trim().toLowerCase();
      const found = all.filter((t) => !words || (t.title + '\n' + t.text).toLowerCase().includes(words));
      this.#list.replaceChildren(...found.map((t) => this.#item(t)));
      if (!this.#deleted) this.#says.textContent = all.length === 0 ? 'No tabs yet: paste one.' : all.length >= many && !words ? 'Export them now and then, so that they are not lost with this browser.' : '';
    } catch {
      this.#says.textContent = 'This browser keeps nothing for this page. Save your tabs as files.';
    }
  }

  /** @param {Tab} tab */
  #item(tab) {
    const open = el('button', { type: 'button', className: 'open' }, el('b', {}, tab.title || 'Untitled'),
      el('small', {}, [tab.harp && 'Harp in ' + tab.harp, tab.played ? 'played ' + new Date(tab.played).toLocaleDateString('en-GB') : 'not played yet'].filter(Boolean).join(' · ')));
    open.onclick = () => { this.#box.close(); this.opened(tab); };
    const remove = el('button', { type: 'button', className: 'delete', 'aria-label': 'Delete ' + (tab.title || 'Untitled'), textContent: 'Delete' });
    remove.onclick = () => this.#remove(tab);
    return el('li', {}, open, remove);
  }

  /** @param {Tab} tab */
  async #remove(tab) {
    await this.tabs.remove(tab.id);
    this.#deleted = tab;
    const undo = el('button', { type: 'button', className: 'undo', textContent: 'Undo' });
    undo.onclick = async () => {
      await this.tabs.keep(tab);
      this.#deleted = null;
      await this.#fill();
    };
    this.#says.replaceChildren(`“${tab.title || 'Untitled'}” is deleted. `, undo);
    await this.#fill();
  }

  async #export() {
    download(new Blob([exported(await this.tabs.all())], { type: 'application/json' }), 'my-tabs.json');
  }

  // Asks once more in its own words, since nothing brings it back.
  async #forget() {
    const button = /** @type {HTMLButtonElement} */ (this.#box.querySelector('.forget'));
    if (button.dataset.sure !== 'yes') {
      button.dataset.sure = 'yes';
      button.textContent = 'Yes, delete all tabs and settings';
      return;
    }
    delete button.dataset.sure;
    button.textContent = 'Forget everything';
    try {
      await this.tabs.forget();
      this.forgotten();
      this.#box.close();
      say('Everything kept on this device is deleted.');
    } catch {
      this.#says.textContent = 'That did not work. Close other windows of this page and try again.';
    }
  }
}
