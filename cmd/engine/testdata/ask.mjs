// Asks a built engine in node. Usage: node ask.mjs ENGINE.wasm WASM_EXEC.js.
// Standard input has a JSON array of [resource, body]; standard output gets one
// line for each: the status, and SHA-256 of the body.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';

const [, , wasm, loader] = process.argv;
await import(pathToFileURL(loader).href);
const go = new globalThis.Go();
const { instance } = await WebAssembly.instantiate(readFileSync(wasm), go.importObject);
go.run(instance);
for (const [resource, body] of JSON.parse(readFileSync(0, 'utf8'))) {
  const reply = globalThis.reedlarkEngine.ask(resource, body);
  console.log(reply.status, createHash('sha256').update(reply.body).digest('hex'));
}
process.exit(0);
