// Runs in a page under test before its own scripts: records what the audio
// graph sends to the loudspeaker, sample for sample, what is scheduled when, and
// which note is lit when. The page knows nothing of it.
window.heard = { samples: [], starts: [], lit: [] };
const realConnect = AudioNode.prototype.connect;
const taps = new WeakMap();

function tapOf(context) {
  if (!taps.has(context)) {
    const tap = context.createScriptProcessor(4096, 1, 1);
    tap.onaudioprocess = (e) => window.heard.samples.push({
      at: e.playbackTime, block: Float32Array.from(e.inputBuffer.getChannelData(0)),
    });
    realConnect.call(tap, context.destination);
    taps.set(context, tap);
  }
  return taps.get(context);
}

AudioNode.prototype.connect = function (to, ...rest) {
  if (to === this.context.destination) realConnect.call(this, tapOf(this.context));
  return realConnect.call(this, to, ...rest);
};

const realStart = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (when, offset) {
  window.heard.starts.push({
    when, offset, length: this.buffer.duration, loop: this.loop, loopStart: this.loopStart, loopEnd: this.loopEnd,
    asked: performance.now(), clock: this.context.currentTime,
  });
  window.heard.context = this.context;
  window.heard.last = this;
  return realStart.call(this, when, offset);
};

new MutationObserver((changes) => {
  const { context } = window.heard;
  for (const { target } of changes) {
    if (!context || !target.classList?.contains('n') || !target.classList.contains('lit')) continue;
    const latency = context.outputLatency || context.baseLatency || 0;
    window.heard.lit.push({ at: context.currentTime - latency, line: target.note.line, column: target.note.column });
  }
}).observe(document, { subtree: true, attributes: true, attributeFilter: ['class'] });

// The recording as one stretch, from where it is not silent on.
window.recording = () => {
  const all = Float32Array.from(window.heard.samples.flatMap((s) => [...s.block]));
  const first = all.findIndex((x) => x !== 0);
  return first < 0 ? new Float32Array(0) : all.slice(first);
};

// How far two stretches of sound differ at worst, over what they share.
window.worst = (a, b) => {
  let worst = 0;
  for (let i = 0; i < Math.min(a.length, b.length); i++) worst = Math.max(worst, Math.abs(a[i] - b[i]));
  return worst;
};

// A sound of the server, as the browser itself decodes it.
window.decoded = async (url) => {
  const context = new OfflineAudioContext(1, 1, 48000);
  const buffer = await context.decodeAudioData(await (await fetch(url)).arrayBuffer());
  return buffer.getChannelData(0);
};
