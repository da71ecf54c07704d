// A sound as it arrives: 16-bit frames that can be played before the last of
// them is here. The header is the 44 bytes of a plain RIFF file.

const headerBytes = 44;

export class Wave {
  // Opens the answer to a request for a sound and goes on reading it.
  static async open(answer) {
    const reader = answer.body.getReader();
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
  failed = null;
  #samples = null;
  #waiting = [];

  get #width() { return 2 * this.channels; } // bytes of a frame
  get seconds() { return this.frames / this.rate; }

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

  async #readRest(reader, first) {
    let filled = 0;
    const take = (bytes) => {
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

  // Resolves once so many frames are here.
  ready(frame) {
    const wanted = Math.min(frame, this.frames);
    return new Promise((done, fail) => {
      this.#waiting.push({ frame: wanted, done, fail });
      this.#wake();
    });
  }

  // The frames from one up to another as a buffer for the audio graph.
  buffer(context, from, to) {
    const out = context.createBuffer(this.channels, Math.max(1, to - from), this.rate);
    const view = new DataView(this.#samples.buffer);
    for (let c = 0; c < this.channels; c++) {
      const into = out.getChannelData(c);
      for (let i = from; i < to; i++) into[i - from] = view.getInt16(this.#width * i + 2 * c, true) / 32768;
    }
    return out;
  }
}
