// Runs in a page under test before its own scripts: records what the audio
// graph sends to the loudspeaker, frame for frame, what is scheduled when, and
// which note is lit when. The page knows nothing of it.
//
// The recording is made by a worklet, on the thread that renders the sound: it
// sees every block that is heard, however busy the page is, and each block says
// at which frame of the clock it lies.
window.heard = { blocks: [], frames: 0, starts: [], lit: [] };
const recorders = new WeakMap(); // a promise of a node for each context

function recorderOf(context) {
  window.heard.context = context;
  if (!recorders.has(context)) {
    recorders.set(context, context.audioWorklet.addModule('/recorder-worklet.js').then(() => {
      const node = new AudioWorkletNode(context, 'recorder', { numberOfOutputs: 0, channelCount: 1, channelCountMode: 'explicit' });
      node.port.onmessage = ({ data }) => { heard.blocks.push(data); heard.frames += data.samples.length; };
      recorders.get(context).node = node;
    }));
  }
  return recorders.get(context);
}

// A page resumes a context before it plays, so the recorder is there in time.
const realResume = AudioContext.prototype.resume;
AudioContext.prototype.resume = async function () {
  await recorderOf(this);
  return realResume.call(this);
};

const realConnect = AudioNode.prototype.connect;
AudioNode.prototype.connect = function (to, ...rest) {
  if (to === this.context.destination) realConnect.call(this, recorders.get(this.context).node);
  return realConnect.call(this, to, ...rest);
};

const realStart = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (when, offset) {
  window.heard.last = this;
  const started = realStart.call(this, when, offset);
  window.heard.starts.push({
    when, offset, length: this.buffer.duration, loop: this.loop, loopStart: this.loopStart, loopEnd: this.loopEnd,
    asked: performance.now(), clock: this.context.currentTime,
  });
  return started;
};

// When the page was last let draw: what a mark is late beyond that is its own.
let drawn = [0, 0];
requestAnimationFrame(function frame() {
  drawn = [drawn[1], performance.now()];
  requestAnimationFrame(frame);
});
const waited = () => (performance.now() - drawn[performance.now() - drawn[1] < 4 ? 0 : 1]) / 1000;

new MutationObserver((changes) => {
  const { context } = window.heard;
  for (const { target } of changes) {
    if (!context || !target.classList?.contains('n') || !target.classList.contains('lit')) continue;
    const latency = context.outputLatency || context.baseLatency || 0;
    window.heard.lit.push({ at: context.currentTime - latency, place: target.note.line + ':' + target.note.column, waited: waited() });
  }
}).observe(document, { subtree: true, attributes: true, attributeFilter: ['class'] });

// The recording as one stretch, from where it is not silent on, with the frame
// of the clock at which it begins. A gap in what sounds is an error of the
// recorder; before the first sound the graph may rest. A moment that is a whole
// frame but for the last bits of a double makes the graph interpolate by as
// little, so silence is what is far below one step of 16 bits.
const audible = (x) => Math.abs(x) > 1e-6;

window.recording = () => {
  const begin = heard.blocks[0]?.frame ?? 0, end = heard.blocks.at(-1);
  const all = new Float32Array(end ? end.frame + end.samples.length - begin : 0);
  let filled = 0, sounds = false;
  for (const { frame, samples } of heard.blocks) {
    if (sounds && frame !== begin + filled) throw new Error(`the recorder missed frames before ${frame}`);
    all.set(samples, frame - begin);
    filled = frame - begin + samples.length;
    sounds ||= samples.some(audible);
  }
  const first = all.findIndex(audible);
  const out = first < 0 ? new Float32Array(0) : all.subarray(first);
  out.frame = first < 0 ? 0 : begin + first;
  return out;
};

// How far two stretches of sound differ at worst, over what they share.
window.worst = (a, b) => {
  let worst = 0;
  for (let i = 0; i < Math.min(a.length, b.length); i++) worst = Math.max(worst, Math.abs(a[i] - b[i]));
  return worst;
};

// A sound of the server, as the browser itself decodes it.
window.decoded = async (url) => {
  const context = window.decoder ??= new OfflineAudioContext(1, 1, 48000); // kept, or it may go before it is done
  const buffer = await context.decodeAudioData(await (await fetch(url)).arrayBuffer());
  return buffer.getChannelData(0);
};
