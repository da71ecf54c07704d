// Runs the engine (cmd/engine) away from the page, one short piece of work at a
// time, so that a newer wish can overtake an older one.
import './wasm_exec.js';

/** @typedef {{ version: string, ask: Function, open: Function, read: Function, close: Function }} Built */
/** @typedef {{ id: number, call: 'ask' | 'open' | 'read' | 'close', args: any[] }} Order */

/** @type {Order[]} */
const queue = [];
let running = false;

/** @type {Promise<Built> | undefined} */
let engine;

/**
 * Loads the engine and starts it. It is packed with gzip, whatever the server
 * says of it, so that any file server will do.
 * @param {string} url
 * @returns {Promise<Built>}
 */
async function start(url) {
  const answer = await fetch(url);
  if (!answer.ok || !answer.body) throw new Error('the engine could not be loaded: ' + answer.status);
  const module = answer.body.pipeThrough(new DecompressionStream('gzip'));
  const scope = /** @type {any} */ (globalThis);
  const go = new scope.Go();
  const typed = new Response(module, { headers: { 'Content-Type': 'application/wasm' } });
  const { instance } = await WebAssembly.instantiateStreaming(typed, go.importObject);
  go.run(instance); // returns when the engine waits for calls
  return scope.reedlarkEngine;
}

// The next order is taken up in a task of its own, so that messages which came
// in the meantime are seen first.
const turn = new MessageChannel();
turn.port1.onmessage = work;

async function work() {
  const order = queue.shift();
  if (!order) {
    running = false;
    return;
  }
  try {
    const built = await /** @type {Promise<Built>} */ (engine);
    const result = built[order.call](...order.args);
    const bytes = result instanceof Uint8Array ? result : result?.body;
    postMessage({ id: order.id, result }, { transfer: bytes ? [bytes.buffer] : [] });
  } catch (error) {
    postMessage({ id: order.id, error: String(error) });
  }
  turn.port2.postMessage(null);
}

self.onmessage = ({ data }) => {
  if (data.load) {
    engine = start(data.load);
    engine.then((built) => postMessage({ ready: built.version }), (error) => postMessage({ failed: String(error) }));
    return;
  }
  if (data.cancel) {
    const i = queue.findIndex((order) => order.id === data.cancel);
    if (i >= 0) queue.splice(i, 1);
    return;
  }
  queue.push(data);
  if (!running) {
    running = true;
    turn.port2.postMessage(null);
  }
};
