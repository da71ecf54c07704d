// A request as one word for an address: its JSON with sorted keys, in raw
// DEFLATE, in base64url. The server reads the same (and writes it for pages
// without scripts).

const mostLink = 6000;

/**
 * The request as JSON whose keys are sorted at every depth, so that two that
 * ask for the same are the same word.
 * @param {any} value
 * @returns {string}
 */
export function canonical(value) {
  if (Array.isArray(value)) return '[' + value.map(canonical).join(',') + ']';
  if (value && typeof value === 'object') {
    const keys = Object.keys(value).filter((k) => value[k] !== undefined).sort();
    return '{' + keys.map((k) => JSON.stringify(k) + ':' + canonical(value[k])).join(',') + '}';
  }
  return JSON.stringify(value);
}

/**
 * The word, or '' where the request is too long for one or the browser too old.
 * @param {import('../types/index').Request} request
 */
export async function pack(request) {
  if (typeof CompressionStream === 'undefined') return '';
  const packed = new Blob([canonical(request)]).stream().pipeThrough(new CompressionStream('deflate-raw'));
  const bytes = new Uint8Array(await new Response(packed).arrayBuffer());
  if (bytes.length > mostLink) return '';
  const word = btoa(String.fromCharCode(...bytes)).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
  return word.length > mostLink ? '' : word;
}
