// Play and stop, from anywhere, once or round and round, at any tempo.
import { Player } from './player.js';
import { Rounds, Tune } from './tune.js';

/** @typedef {import('../types/index').Range} Range */
/** @typedef {{start: number, step: number, rounds: number}} Ladder per cent, per cent, rounds a rung */

export class Transport {
  changed = () => {}; // playing, or waiting for a sound, began or ended
  finished = () => {}; // the tune came to its end
  /** @type {(percent: number | null, tempo: number) => void} */
  rung = () => {}; // the ladder reached a tempo
  hushed = () => {}; // the note that was to be heard alone is over
  #player = new Player();
  #notes = new Player(); // for single notes, which interrupt nothing
  #practise;
  #options;
  /** @type {Tune | null} */
  #tune = null; // the whole
  #loading = 0;
  #loadings = 0;

  /**
   * @param {import('./practise.js').Practise} practise
   * @param {import('../types/index').AskOptions} options
   * @param {(error: any) => void} failed
   */
  constructor(practise, options, failed) {
    this.#practise = practise;
    this.#options = options;
    this.failed = failed;
    this.#player.ended = () => { this.changed(); this.finished(); };
    this.#notes.ended = () => this.hushed();
    this.#player.failed = (error) => { this.changed(); failed(error); };
  }

  /** Whether something sounds, or will as soon as it is here. */
  get playing() { return this.sounding || this.waiting; }
  get sounding() { return this.#player.playing; }
  get waiting() { return this.#loading > 0; }
  get tune() { return this.#tune; }

  /** What is heard now: the tune that plays and the second of its sound. */
  heard() {
    const place = this.#player.playing ? this.#player.place() : null;
    return place ? heardIn(place.segment.tag, place.seconds) : null;
  }

  /** The beat that is heard now. */
  beat() {
    const heard = this.heard();
    return heard ? heard.tune.beats.at(heard.seconds) : 0;
  }

  // Somebody is about to play: the sound is fetched so that it comes at once, and
  // the way out for it is opened, which takes longer than the fetching. A browser
  // that nobody has touched yet would not let it be opened.
  prepare() {
    if (navigator.userActivation?.hasBeenActive) this.#player.context;
    if (!this.playing && !this.#practise.on) this.#tune?.wave(this.#options).catch(() => {});
  }

  /**
   * The text or a setting is another; what plays goes on at the same beat.
   * @param {Tune} tune
   */
  async swap(tune) {
    const again = this.playing;
    this.#tune = tune;
    if (again) await this.goOn();
  }

  /** There is nothing to be played any more. */
  clear() {
    this.stop();
    this.#tune = null;
  }

  stop() {
    this.#loading = 0;
    this.#player.stop();
    this.changed();
  }

  /**
   * Starts at a beat, with the count-in. What would begin in the last notes dying
   * away begins at the beginning.
   * @param {number} beat
   */
  play(beat = 0) {
    const end = this.#tune?.score.beats ?? 0;
    return this.#start(beat > 0 && beat < end - 1e-6 ? beat : 0, true);
  }

  /** Goes on where it is with what is asked for now, without a count. */
  goOn() { return this.#start(() => this.beat(), false); }

  // Where the beat is a function it is asked for when the sound is there, and what
  // plays until then goes on.
  /**
   * @param {number | (() => number)} beat
   * @param {boolean} counted
   */
  async #start(beat, counted) {
    const mine = ++this.#loadings;
    this.#loading = mine;
    this.changed();
    try {
      const range = this.#practise.on ? this.#practise.range : null;
      if (range) await this.#loop(range, beat, counted, mine);
      else if (typeof beat === 'function') await this.#further(beat, mine);
      else await this.#once(beat, mine);
    } catch (error) {
      if (this.#loading === mine) this.#player.stop();
      this.failed(error);
    } finally {
      if (this.#loading === mine) this.#loading = 0;
      this.changed();
    }
  }

  // From a beat to the end. A sound that begins there comes sooner than one that
  // has to be fetched up to there, and has the count-in in front of it.
  /**
   * @param {number} beat
   * @param {number} mine
   */
  async #once(beat, mine) {
    const whole = /** @type {Tune} */ (this.#tune);
    const offset = Math.max(0, whole.beats.seconds(beat) - 0.015);
    const cut = beat > 0 && (whole.request.count_in || whole.here < offset + 0.5);
    const tune = cut ? await Tune.after(whole.request, beat, this.#options) : whole;
    const wave = await tune.wave(this.#options);
    if (this.#loading === mine) await this.#player.play(wave, cut || beat === 0 ? 0 : offset, tune);
  }

  /**
   * @param {() => number} beat
   * @param {number} mine
   */
  async #further(beat, mine) {
    const tune = /** @type {Tune} */ (this.#tune);
    const wave = await tune.wave(this.#options);
    await wave.ready(wave.rate * (tune.beats.seconds(beat()) + 1));
    if (this.#loading === mine) await this.#player.play(wave, tune.beats.seconds(beat()), tune);
  }

  // Goes round; on a ladder each rung hands over to the next at a seam.
  /**
   * @param {Range} range
   * @param {number | (() => number)} beat
   * @param {boolean} counted
   * @param {number} mine
   */
  async #loop(range, beat, counted, mine) {
    const { request, score } = /** @type {Tune} */ (this.#tune);
    const ladder = this.#practise.ladder;
    const percent = ladder ? ladder.start : 100;
    const round = await this.#round(range, score.tempo * percent / 100, counted ? request.count_in ?? 0 : 0);
    const wave = await round.wave(this.#options);
    await wave.ready(48000 * round.round.end);
    if (this.#loading !== mine) return;
    const now = typeof beat === 'function' ? beat() : 0; // whoever starts a loop starts it at its beginning
    const inside = round instanceof Tune && now > range.from && now < range.to;
    const offset = inside ? round.beats.seconds(now) : 0;
    const segment = await this.#player.loop(wave, offset, round.round, round);
    if (!segment) return;
    this.rung(ladder ? percent : null, firstOf(round).score.tempo);
    const begun = round instanceof Tune ? round.beats.zero : round.lengths[0] - round.lengths[1];
    if (ladder) this.#climb(range, ladder, percent, segment, segment.when + begun - offset, round);
  }

  /**
   * @param {Range} range
   * @param {number} tempo
   * @param {number} countIn bars before the first round
   */
  async #round(range, tempo, countIn) {
    const bounded = Math.min(400, Math.max(20, Number(tempo.toFixed(3))));
    const { request } = /** @type {Tune} */ (this.#tune);
    const { rest, countEvery } = this.#practise;
    if (!rest && !countEvery) return Tune.part(request, range, bounded, countIn, this.#options);
    const every = countEvery ? request.count_in ?? 1 : 0;
    const [first, other] = await Promise.all([countIn || every, every].map((bars) => Tune.part(request, range, bounded, bars, this.#options, 1)));
    return new Rounds(first, other, rest);
  }

  // Gets the next rung ready while this one goes round, and hands over to it
  // when this one has gone round often enough. begun is when round one began.
  /**
   * @param {Range} range
   * @param {Ladder} ladder
   * @param {number} percent
   * @param {import('./player.js').Segment} segment
   * @param {number} begun
   * @param {Tune | Rounds} round
   */
  async #climb(range, ladder, percent, segment, begun, round) {
    if (percent >= 100) return;
    const next = Math.min(100, percent + ladder.step);
    try {
      const { tempo } = /** @type {Tune} */ (this.#tune).score;
      const higher = await this.#round(range, tempo * next / 100, 0);
      const wave = await higher.wave(this.#options);
      if ('finished' in wave) await wave.finished;
      if (this.#player.place()?.segment !== segment) return;
      const length = round.round.end - round.round.start;
      const rounds = Math.max(ladder.rounds, Math.ceil((this.#player.context.currentTime + 0.1 - begun) / length));
      const at = begun + rounds * length;
      const raised = await this.#player.loop(wave, higher.round.start, higher.round, higher, at);
      if (!raised) return;
      setTimeout(() => {
        if (this.#player.place()?.segment !== raised) return;
        this.rung(next, firstOf(higher).score.tempo);
        this.#climb(range, ladder, next, raised, at, higher);
      }, 1000 * (at - this.#player.context.currentTime) + 100);
    } catch (error) {
      this.failed(error);
    }
  }

  /**
   * One word of tab on its own.
   * @param {string} word
   */
  async hear(word) {
    const request = { ...this.#tune?.request, tab: word + '-', convention: 'signs', tempo: 120 };
    for (const name of ['count_in', 'click', 'metre', 'swing', 'brackets', 'from', 'to', 'backing', 'mix', 'strict']) delete /** @type {any} */ (request)[name];
    try {
      const tune = await Tune.open(request, this.#options);
      await this.#notes.play(await tune.wave(this.#options), 0, tune);
    } catch (error) {
      this.hushed();
      this.failed(error);
    }
  }
}

/** @param {Tune | Rounds} round */
const firstOf = (round) => (round instanceof Tune ? round : round.first);

/**
 * @param {Tune | Rounds} tag
 * @param {number} seconds
 */
const heardIn = (tag, seconds) => (tag instanceof Tune ? { tune: tag, seconds } : tag.at(seconds));
