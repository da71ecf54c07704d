// A sound as it arrives: 16-bit frames that can be played before the last of
// them is here. The header is the 44 bytes of a plain RIFF file.

const headerBytes = 44;

export class Wave {
  /**
   * Opens the answer to a request for a sound and goes on reading it.
   * @param {Response} answer
   */
  static async open(answer) {
    const reader = /** @type {ReadableStream<Uint8Array>} */ (answer.body).getReader();
    const wave = new Wave();
    const first = await wave.#readHeader(reader);
    wave.finished = wave.#readRest(reader, first);
    wave.finished.catch(() => {}); // whoever waits for frames is told
    return wave;
  }

  rate = 0;
  channels = 1;
  frames = 0; // in the whole sound
  here = 0; // frames that have arrived
  /** @type {unknown} */
  failed = null;
  /** @type {Promise<void>} */
  finished = Promise.resolve();
  #samples = new Uint8Array(0);
  /** @type {{frame: number, done: (value?: any) => void, fail: (error: unknown) => void}[]} */
  #waiting = [];

  get #width() { return 2 * this.channels; } // bytes of a frame
  get seconds() { return this.frames / this.rate; }

  /** @param {ReadableStreamDefaultReader<Uint8Array>} reader */
  async #readHeader(reader) {
    let bytes = new Uint8Array(0);
    while (bytes.length < headerBytes) {
      const { value, done } = await reader.read();
      if (done) throw new Error('The sound broke off.');
      const both = new Uint8Array(bytes.length + value.length);
      both.set(bytes);
      both.set(value, bytes.length);
      bytes = both;
    }
    const view = new DataView(bytes.buffer);
    this.channels = view.getUint16(22, true);
    this.rate = view.getUint32(24, true);
    this.frames = view.getUint32(40, true) / this.#width;
    this.#samples = new Uint8Array(this.#width * this.frames);
    return bytes.subarray(headerBytes);
  }

  /**
   * @param {ReadableStreamDefaultReader<Uint8Array>} reader
   * @param {Uint8Array} first
   */
  async #readRest(reader, first) {
    let filled = 0;
    const take = (/** @type {Uint8Array} */ bytes) => {
      this.#samples.set(bytes, filled);
      filled += bytes.length;
      this.here = Math.floor(filled / this.#width);
      this.#wake();
    };
    try {
      take(first);
      for (let next = await reader.read(); !next.done; next = await reader.read()) take(next.value);
      if (this.here < this.frames) throw new Error('The sound broke off.');
    } catch (error) {
      this.failed = error;
      this.#wake();
      throw error;
    }
  }

  #wake() {
    this.#waiting = this.#waiting.filter(({ frame, done, fail }) => {
      if (this.here >= frame) done();
      else if (this.failed) fail(this.failed);
      else return true;
      return false;
    });
  }

  /**
   * Resolves once so many frames are here.
   * @param {number} frame
   * @returns {Promise<void>}
   */
  ready(frame) {
    const wanted = Math.min(frame, this.frames);
    return new Promise((done, fail) => {
      this.#waiting.push({ frame: wanted, done, fail });
      this.#wake();
    });
  }

  /**
   * The frames from one up to another as a buffer for the audio graph.
   * @param {BaseAudioContext} context
   * @param {number} from
   * @param {number} to
   */
  buffer(context, from, to) {
    const out = context.createBuffer(this.channels, Math.max(1, to - from), this.rate);
    for (let c = 0; c < this.channels; c++) this.fill(out.getChannelData(c), c, from);
    return out;
  }

  /**
   * Fills a stretch with the frames of a channel from one on; silence follows the
   * last.
   * @param {Float32Array} into
   * @param {number} channel
   * @param {number} from
   */
  fill(into, channel, from) {
    const view = new DataView(this.#samples.buffer);
    const count = Math.min(into.length, this.frames - from);
    for (let i = 0; i < count; i++) into[i] = view.getInt16(this.#width * (from + i) + 2 * channel, true) / 32768;
  }
}

const fade = 0.005; // seconds over which what still rings at the end of a lap goes out

/** Sounds one after the other, each cut or followed by silence to have its length. */
export class Laps {
  /**
   * @param {Wave[]} waves
   * @param {number[]} lengths seconds
   */
  constructor(waves, lengths) {
    this.rate = waves[0].rate;
    this.channels = waves[0].channels;
    this.waves = waves;
    this.sizes = lengths.map((seconds) => Math.round(seconds * this.rate));
  }

  async ready() {} // all of it is here

  /** @param {BaseAudioContext} context */
  buffer(context) {
    const out = context.createBuffer(this.channels, this.sizes.reduce((a, b) => a + b, 0), this.rate);
    for (let c = 0; c < this.channels; c++) {
      let at = 0;
      this.waves.forEach((wave, i) => {
        const lap = out.getChannelData(c).subarray(at, at + this.sizes[i]);
        wave.fill(lap, c, 0);
        fadeOut(lap, Math.round(fade * this.rate));
        at += this.sizes[i];
      });
    }
    return out;
  }
}

/**
 * @param {Float32Array} samples
 * @param {number} count
 */
function fadeOut(samples, count) {
  const from = Math.max(0, samples.length - count);
  for (let i = from; i < samples.length; i++) samples[i] *= (samples.length - i) / count;
}
