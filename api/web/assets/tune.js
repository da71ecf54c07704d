// A request with what the server makes of it: the score at once, the sound when
// it is first wanted.
import { ask } from './ask.js';
import { beatsOf } from './beats.js';
import { Wave } from './wave.js';

export class Tune {
  #wave = null;

  constructor(request, score, rounds) {
    this.request = request;
    this.score = score;
    this.beats = beatsOf(score, request.from ?? 0, rounds);
  }

  static async open(request, options) {
    const score = await (await ask('score', request, options)).json();
    return new Tune(request, score, request.repeat ?? 1);
  }

  // The part of a request that goes round. It is rendered three times round and
  // the second goes round for ever: it begins and ends in the midst of the
  // same music, so its seam is that of the music.
  static part(request, { from, to }, tempo, countIn, options) {
    return Tune.open({ ...request, from, to, tempo, repeat: 3, count_in: countIn }, options);
  }

  get round() {
    const { zero, length } = this.beats;
    return { start: zero + length, end: zero + 2 * length };
  }

  wave(options) {
    const channels = this.request.mix === 'split' ? 2 : 1;
    this.#wave ??= ask('audio', { ...this.request, rate: 48000, depth: 16, channels }, options)
      .then((answer) => Wave.open(answer));
    this.#wave.catch(() => { this.#wave = null; }); // so that it can be asked for again
    return this.#wave;
  }
}
