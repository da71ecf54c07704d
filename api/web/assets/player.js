// Plays waves on the clock of the audio graph. A wave is scheduled in pieces
// that follow each other to the frame, so that it sounds before it is all here;
// a loop is one buffer that goes round, so that its seam is exact.

import { Refusal } from './ask.js';

const ahead = 1.5; // seconds that are scheduled beforehand
const firstPiece = 0.2; // seconds: as soon as this much is here it sounds
const piece = 2; // seconds
const leads = [0.03, 0.06, 0.12, 0.25]; // seconds between asking and sounding: more where less was too late

/** @typedef {import('./wave.js').Wave} Wave */
/** @typedef {{start: number, end: number}} Loop seconds */
/** @typedef {{tag: any, offset: number, when: number, loop: Loop | null}} Segment */

export class Player {
  ended = () => {}; // called when a wave is over
  /** @type {(error: unknown) => void} */
  failed = () => {};
  /** @type {AudioContext | null} */
  #context = null;
  /** @type {Segment[]} */
  #segments = []; // what sounds from when on, in order of time
  /** @type {Set<AudioBufferSourceNode>} */
  #sources = new Set();
  #timer = 0;
  #run = 0; // tells one playing from the next
  #lead = 0; // which of the leads is enough here

  // The graph runs at the rate of the sound, so that nothing is resampled.
  get context() {
    this.#context ??= new AudioContext({ sampleRate: 48000, latencyHint: 'interactive' });
    return this.#context;
  }

  get playing() { return this.#segments.length > 0; }

  // The moment that is heard now: the clock less what the way out takes.
  now() {
    if (!this.#context) return 0;
    return this.#context.currentTime - (this.#context.outputLatency || this.#context.baseLatency || 0);
  }

  // What is heard now: the segment, and how many seconds into its wave.
  place(at = this.now()) {
    let current = this.#segments[0];
    for (const s of this.#segments) if (s.when <= at) current = s;
    if (!current) return null;
    let seconds = current.offset + Math.max(0, at - current.when);
    if (current.loop && seconds >= current.loop.end) {
      const { start: from, end } = current.loop;
      seconds = from + ((seconds - end) % (end - from));
    }
    return { segment: current, seconds };
  }

  /**
   * Plays a wave from so many seconds on. The tag comes back with its place.
   * @param {Wave} wave
   * @param {number} offset seconds
   * @param {any} tag
   */
  async play(wave, offset = 0, tag = null) {
    this.stop();
    const run = this.#run;
    await this.#awake();
    let next = Math.round(offset * wave.rate);
    await wave.ready(next + firstPiece * wave.rate);
    if (run !== this.#run) return;
    /** @type {Segment} */
    const segment = { tag, offset: next / wave.rate, when: this.#soon(), loop: null };
    this.#segments = [segment];
    let length = firstPiece;
    const due = () => segment.when + next / wave.rate - segment.offset;
    const pump = () => {
      while (next < wave.here && due() < this.context.currentTime + ahead) {
        const to = Math.min(wave.here, next + Math.round(length * wave.rate));
        const buffer = wave.buffer(this.context, next, to);
        const { at } = this.#inTime(buffer, due(), 0);
        if (at !== due()) Object.assign(segment, { offset: next / wave.rate, when: at }); // the wave came late
        next = to;
        length = piece;
      }
      if (wave.failed && next >= wave.here) this.#over(run, () => this.failed(wave.failed));
      else if (next >= wave.frames && this.now() > due()) this.#over(run, this.ended);
    };
    pump();
    this.#timer = setInterval(pump, 50);
  }

  /**
   * Goes round between two moments of a wave, seconds. From when on: at once,
   * or at a moment of the clock that lies ahead.
   * @param {Pick<Wave, 'rate' | 'ready' | 'buffer'>} wave
   * @param {number} offset seconds
   * @param {Loop} loop
   * @param {any} tag
   * @param {number | null} when
   * @returns {Promise<Segment | null>}
   */
  async loop(wave, offset, loop, tag = null, when = null) {
    if (when === null) this.stop();
    const run = this.#run;
    await this.#awake();
    const end = Math.round(loop.end * wave.rate);
    await wave.ready(end);
    if (run !== this.#run) return null;
    const exact = { start: Math.round(loop.start * wave.rate) / wave.rate, end: end / wave.rate };
    const { source, at } = this.#inTime(wave.buffer(this.context, 0, end), when ?? this.#soon(), offset, exact);
    if (when !== null) for (const other of this.#sources) if (other !== source) other.stop(at);
    /** @type {Segment} */
    const segment = { tag, offset, when: at, loop: exact };
    this.#segments = [...this.#segments, segment];
    return segment;
  }

  // Falls silent and says where it was.
  stop() {
    const place = this.playing ? this.place() : null;
    this.#run++;
    clearInterval(this.#timer);
    for (const source of this.#sources) source.stop();
    this.#sources.clear();
    this.#segments = [];
    return place;
  }

  // Without any way out for sound a browser never starts the clock.
  async #awake() {
    let timer = 0;
    const tooLong = new Promise((_, fail) => {
      timer = setTimeout(() => fail(new Refusal({ detail: 'This browser does not let any sound out. Is a loudspeaker connected?' })), 4000);
    });
    await Promise.race([this.context.resume(), tooLong]).finally(() => clearTimeout(timer));
  }

  #soon() {
    const { currentTime, sampleRate } = this.context;
    return Math.ceil((currentTime + leads[this.#lead]) * sampleRate) / sampleRate;
  }

  /**
   * Sounds a buffer at a moment or, where the clock has overtaken it, as soon
   * after it as this machine can: what starts late would overlap what follows.
   * @param {AudioBuffer} buffer
   * @param {number} when
   * @param {number} offset
   * @param {Loop | null} loop
   */
  #inTime(buffer, when, offset, loop = null) {
    for (let at = when > this.context.currentTime ? when : this.#soon(); ; at = this.#soon()) {
      const source = this.#sound(buffer, at, offset, loop);
      const late = this.context.currentTime + 256 / this.context.sampleRate > at;
      if (!late || this.#lead === leads.length - 1) return { source, at };
      source.disconnect();
      source.stop();
      this.#lead++;
    }
  }

  /**
   * @param {AudioBuffer} buffer
   * @param {number} when
   * @param {number} offset
   * @param {Loop | null} loop
   */
  #sound(buffer, when, offset, loop = null) {
    const source = new AudioBufferSourceNode(this.context, { buffer });
    if (loop) Object.assign(source, { loop: true, loopStart: loop.start, loopEnd: loop.end });
    source.connect(this.context.destination);
    source.onended = () => this.#sources.delete(source);
    source.start(when, offset);
    this.#sources.add(source);
    return source;
  }

  /**
   * @param {number} run
   * @param {() => void} tell
   */
  #over(run, tell) {
    if (run !== this.#run) return;
    this.stop();
    tell();
  }
}
