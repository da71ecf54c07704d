// The controls of the player: play and pause, where, how fast, round and round.
import { keepAwake } from './awake.js';
import { clockText, noteAt, tidy } from './beats.js';
import { byId } from './dom.js';
import { rowRange } from './settings.js';

/** @typedef {import('../types/index').Note} Note */

const slowest = 40; // per cent of the page's tempo
const fastest = 130;
const speedStep = 5;

export class Deck {
  /** @type {(note: Note | null) => void} */
  light = () => {}; // the note that sounds is another
  started = () => {}; // somebody starts to play
  /** @type {() => Note | null} */
  focused = () => null;
  tempoChanged = () => {};
  #transport;
  #practise;
  #pageTempo = 0; // beats a minute, as the page has it
  #tempo = 0;

  /**
   * @param {import('./transport.js').Transport} transport
   * @param {import('./practise.js').Practise} practise
   */
  constructor(transport, practise) {
    this.#transport = transport;
    this.#practise = practise;
    const toggle = byId('toggle');
    for (const hint of ['pointerenter', 'pointerdown', 'focus']) toggle.addEventListener(hint, () => transport.prepare());
    toggle.onclick = () => this.toggle();
    byId('start').onclick = () => this.toStart();
    byId('slower').onclick = () => this.faster(-speedStep);
    byId('faster').onclick = () => this.faster(speedStep);
    byId('loop-row').onclick = () => this.loopRow();
    byId('rest').onclick = () => {
      const open = document.body.classList.toggle('all-controls');
      byId('rest').setAttribute('aria-expanded', String(open));
    };
    const height = () => document.documentElement.style.setProperty('--deck', byId('play').offsetHeight + 'px');
    new ResizeObserver(height).observe(byId('play'));
    byId('seek').addEventListener('change', () => { if (transport.playing) transport.play(this.position); });
    byId('seek').addEventListener('input', () => this.#clock());
    transport.changed = () => this.#changed();
    transport.finished = () => { this.position = 0; };
    transport.rung = (percent, tempo) => {
      byId('rung').textContent = percent === null ? '' : `${tidy(percent)} %: ${tidy(tempo)} beats a minute`;
    };
  }

  /** The beat at which the next play begins. */
  get position() { return Number(byId('seek').value); }
  set position(beat) {
    byId('seek').value = beat;
    this.#clock();
  }

  /**
   * Another score is there.
   * @param {import('../types/index').Score} score
   * @param {number} pageTempo
   */
  learn(score, pageTempo) {
    this.#tempo = score.tempo;
    this.#pageTempo = pageTempo;
    byId('seek').max = score.beats;
    byId('toggle').disabled = byId('start').disabled = false;
    byId('speed').firstElementChild.textContent = `${this.percent} %`;
    byId('speed').lastElementChild.textContent = `${tidy(score.tempo, 1)} bpm`;
    this.#clock();
    this.showLoop();
  }

  /** Nothing can be played. */
  clear() {
    this.#transport.clear();
    byId('toggle').disabled = byId('start').disabled = true;
    this.position = 0;
    byId('speed').lastElementChild.textContent = '';
  }

  get percent() { return Math.round(100 * this.#tempo / (this.#pageTempo || this.#tempo || 1)); }

  /** @param {number} by per cent */
  faster(by) {
    if (!this.#pageTempo) return;
    const percent = Math.min(fastest, Math.max(slowest, Math.round((this.percent + by) / speedStep) * speedStep));
    const tempo = Math.min(400, Math.max(20, tidy(this.#pageTempo * percent / 100, 3)));
    this.#tempo = tempo;
    byId('tempo').value = percent === 100 ? '' : tempo;
    byId('speed').firstElementChild.textContent = `${percent} %`;
    byId('speed').lastElementChild.textContent = `${tidy(tempo, 1)} bpm`;
    this.tempoChanged();
  }

  toggle() {
    if (byId('toggle').disabled) return;
    if (this.#transport.playing) {
      if (this.#transport.sounding && !this.#practise.on) this.position = this.#transport.beat();
      this.#transport.stop();
      return;
    }
    this.play(this.position);
  }

  /** @param {number} beat */
  play(beat) {
    this.started();
    this.#transport.play(beat);
  }

  toStart() {
    this.position = 0;
    if (this.#transport.playing) this.play(0);
  }

  // Goes round the row that sounds, or that of the note with the focus, or the
  // one where the next play begins; or no longer.
  loopRow() {
    const { tune } = this.#transport;
    if (!tune) return;
    if (this.#practise.on) {
      this.#practise.on = false;
      this.#practise.changed();
      return;
    }
    const note = this.#sounding() ?? this.focused() ?? tune.score.notes.findLast((n) => n.start_beat <= this.position + 1e-6) ?? tune.score.notes[0];
    if (note) this.#practise.loop(rowRange(tune.score, note));
  }

  showLoop() {
    const { on } = this.#practise;
    byId('loop-row').setAttribute('aria-pressed', String(on));
    byId('loop-row').textContent = on ? 'Looping' : 'Loop row';
  }

  #sounding() {
    const heard = this.#transport.heard();
    return heard && noteAt(heard.tune.score.notes, heard.seconds);
  }

  // There is a pause only where something sounds.
  #changed() {
    const { sounding, waiting, playing } = this.#transport;
    byId('toggle').classList.toggle('on', sounding);
    byId('toggle').classList.toggle('waiting', waiting && !sounding);
    byId('toggle').querySelector('.word').textContent = sounding ? 'Pause' : waiting ? 'Getting the sound' : 'Play';
    document.body.classList.toggle('playing', playing);
    keepAwake(sounding);
    if (sounding) requestAnimationFrame(() => this.#follow());
    else this.light(null);
  }

  // Marks what is heard now, by the clock of the sound.
  #follow() {
    if (!this.#transport.sounding || this.#following) return;
    this.#following = true;
    requestAnimationFrame(() => { this.#following = false; this.#follow(); });
    const heard = this.#transport.heard();
    if (!heard) return;
    this.light(byId('follow').checked ? noteAt(heard.tune.score.notes, heard.seconds) : null);
    const seek = byId('seek');
    if (document.activeElement === seek && seek.matches(':active')) return;
    this.position = heard.tune.beats.at(heard.seconds);
  }
  #following = false;

  #clock() {
    const beat = this.position;
    const text = clockText(this.#tempo ? beat * 60 / this.#tempo : 0);
    byId('clock').textContent = text;
    byId('seek').setAttribute('aria-valuetext', `beat ${Math.floor(beat) + 1}, ${text}`);
  }
}
