// What the text was before each change, so that one step undoes a change the page
// made, as it undoes typing. A browser's own history is lost when a page sets the
// text, and setting it through the browser takes time that grows with its square.

const mostSteps = 300;
const together = 1000; // milliseconds: letters typed in one go are one step

/** @typedef {{text: string, from: number, to: number, owner: unknown}} State */

/** The states of a text, with the one that is shown. Knows no document. */
export class History {
  /** @type {State[]} */
  #states;
  #at = 0;
  #typed = -Infinity; // when the last letter came

  /** @param {State} first */
  constructor(first) { this.#states = [first]; }

  get now() { return this.#states[this.#at]; }

  /**
   * Keeps a new state. Letters that follow each other quickly are one step, unless
   * a line ends.
   * @param {State} state
   * @param {number | null} typed when, if somebody typed it
   */
  keep(state, typed = null) {
    if (state.text === this.now.text) {
      this.#states[this.#at] = state;
      return;
    }
    const quick = typed !== null && typed - this.#typed < together && this.#at === this.#states.length - 1 && this.#at > 0;
    this.#states.length = this.#at + (quick ? 0 : 1);
    this.#states.push(state);
    if (this.#states.length > mostSteps) this.#states.shift();
    this.#at = this.#states.length - 1;
    this.#typed = typed === null || state.text[state.from - 1] === '\n' ? -Infinity : typed;
  }

  /** One state back, or null. */
  undo() { return this.#go(-1); }

  /** One state on again, or null. */
  redo() { return this.#go(1); }

  /** @param {number} way */
  #go(way) {
    const state = this.#states[this.#at + way];
    if (!state) return null;
    this.#at += way;
    this.#typed = -Infinity;
    return state;
  }
}

/** The text field with its history. */
export class Editor {
  /**
   * @param {HTMLTextAreaElement} field
   * @param {(how: 'typed' | 'page') => void} changed
   */
  constructor(field, changed) {
    this.field = field;
    this.changed = changed;
    /** @type {unknown} */
    this.owner = null; // which tab the text is
    this.history = new History(this.#state());
    field.addEventListener('beforeinput', (e) => this.#before(e));
    field.addEventListener('input', () => { this.history.keep(this.#state(), performance.now()); changed('typed'); });
    field.addEventListener('keydown', (e) => this.#key(e));
  }

  get text() { return this.field.value; }

  /**
   * Replaces the whole text, in one step.
   * @param {string} text
   * @param {number} at where the cursor is then
   * @param {unknown} owner which tab it is
   */
  set(text, at = 0, owner = this.owner) {
    this.history.keep(this.#state());
    this.owner = owner;
    this.field.value = text;
    this.field.setSelectionRange(at, at);
    this.history.keep(this.#state());
    this.changed('page');
  }

  undo() { this.#show(this.history.undo()); }
  redo() { this.#show(this.history.redo()); }

  /** @param {State | null} state */
  #show(state) {
    if (!state) return;
    this.owner = state.owner;
    this.field.value = state.text;
    this.field.setSelectionRange(state.from, state.to);
    this.changed('page');
  }

  /** @returns {State} */
  #state() {
    const { value, selectionStart, selectionEnd } = this.field;
    return { text: value, from: selectionStart, to: selectionEnd, owner: this.owner };
  }

  // Undoing by a menu, or by shaking a telephone.
  /** @param {InputEvent} e */
  #before(e) {
    if (e.inputType === 'historyUndo') { e.preventDefault(); this.undo(); }
    if (e.inputType === 'historyRedo') { e.preventDefault(); this.redo(); }
  }

  /** @param {KeyboardEvent} e */
  #key(e) {
    if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
    const key = e.key.toLowerCase();
    if (key !== 'z' && key !== 'y') return;
    e.preventDefault();
    if (key === 'y' || e.shiftKey) this.redo();
    else this.undo();
  }
}
