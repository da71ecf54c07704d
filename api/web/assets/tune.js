// A request with what is made of it: the score at once, the sound when it is
// first wanted.
import { ask } from './ask.js';
import { beatsOf } from './beats.js';
import { Laps, Wave } from './wave.js';

/** @typedef {import('../types/index').Request} Request */
/** @typedef {import('../types/index').AskOptions} AskOptions */
/** @typedef {import('../types/index').Range} Range */

export class Tune {
  /** @type {Promise<Wave> | null} */
  #wave = null;
  /** @type {Wave | null} */
  #here = null;

  /**
   * @param {Request} request
   * @param {import('../types/index').Score} score
   */
  constructor(request, score) {
    this.request = request;
    this.score = score;
    this.beats = beatsOf(score, Number(request.from ?? 0), request.repeat ?? 1);
  }

  /**
   * @param {Request} request
   * @param {AskOptions} options
   */
  static async open(request, options) {
    const score = await (await ask('score', request, options)).json();
    return new Tune(request, score);
  }

  /**
   * The tune from a beat on, with its count-in.
   * @param {Request} request
   * @param {number} beat
   * @param {AskOptions} options
   */
  static after(request, beat, options) { return Tune.open({ ...request, from: floored(beat) }, options); }

  /**
   * The part of a request that goes round. It is rendered three times round and
   * the second goes round for ever: it begins and ends in the midst of the
   * same music, so its seam is that of the music.
   * @param {Request} request
   * @param {Range} range
   * @param {number} tempo
   * @param {number} countIn bars
   * @param {AskOptions} options
   * @param {number} rounds
   */
  static part(request, { from, to }, tempo, countIn, options, rounds = 3) {
    return Tune.open({ ...request, from: floored(from), to, tempo, repeat: rounds, count_in: countIn }, options);
  }

  /** The second of three rounds, seconds. */
  get round() {
    const { zero, length } = this.beats;
    return { start: zero + length, end: zero + 2 * length };
  }

  /** How much of the sound is here, seconds. */
  get here() { return this.#here ? this.#here.here / this.#here.rate : 0; }

  /**
   * @param {AskOptions} options
   * @returns {Promise<Wave>}
   */
  wave(options) {
    if (this.#wave) return this.#wave;
    const channels = this.request.mix === 'split' ? 2 : 1;
    const wave = ask('audio', { ...this.request, rate: 48000, depth: 16, channels }, options).then((answer) => Wave.open(answer));
    wave.then((here) => { this.#here = here; }, () => { this.#wave = null; }); // so that it can be asked for again
    this.#wave = wave;
    return wave;
  }
}

/**
 * One round after another with a rest between them, and a count before the first
 * or before every one.
 */
export class Rounds {
  /**
   * @param {Tune} first the round that begins
   * @param {Tune} other the round that goes round
   * @param {number} rest beats
   */
  constructor(first, other, rest) {
    this.first = first;
    this.other = other;
    this.lengths = [first, other].map(({ beats }) => beats.zero + beats.length + rest * beats.beat);
  }

  /** @param {AskOptions} options */
  async wave(options) {
    const waves = await Promise.all([this.first.wave(options), this.other.wave(options)]);
    await Promise.all(waves.map((wave) => wave.finished));
    return new Laps(waves, this.lengths);
  }

  get round() { return { start: this.lengths[0], end: this.lengths[0] + this.lengths[1] }; }

  /**
   * What is heard at a second of it.
   * @param {number} seconds
   */
  at(seconds) {
    const [begun] = this.lengths;
    return seconds < begun ? { tune: this.first, seconds } : { tune: this.other, seconds: seconds - begun };
  }
}

// A third of a beat has no exact number: a little less is before the note, never
// after it.
const floored = (/** @type {number} */ beat) => (Number.isInteger(beat * 64) ? beat : Math.max(0, Number((beat - 1e-6).toFixed(6))));
