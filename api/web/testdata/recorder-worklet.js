// The part of the recorder that runs where the sound is rendered.
registerProcessor('recorder', class extends AudioWorkletProcessor {
  #samples = new Float32Array(1024);
  #filled = 0;

  process([[channel]]) {
    const block = channel ?? new Float32Array(128); // nothing plays
    this.#samples.set(block, this.#filled);
    this.#filled += block.length;
    if (this.#filled === this.#samples.length) this.#send();
    return true;
  }

  #send() {
    const frame = currentFrame + 128 - this.#samples.length;
    this.port.postMessage({ frame, samples: this.#samples }, [this.#samples.buffer]);
    this.#samples = new Float32Array(1024);
    this.#filled = 0;
  }
});
