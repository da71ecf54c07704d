// The few things every module needs of the document.

/**
 * The element with an id that the page is known to have.
 * @param {string} id
 * @returns {any} as the page has it: a field, a button, a box
 */
export const byId = (id) => document.getElementById(id);

/**
 * An element with properties and children. Text goes in as text, never as HTML.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} name
 * @param {Record<string, any>} props
 * @param {(Node | string)[]} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function el(name, props = {}, ...children) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(props)) {
    if (key.includes('-') || key === 'role' || key === 'scope') node.setAttribute(key, value);
    else /** @type {any} */ (node)[key] = value;
  }
  node.append(...children);
  return node;
}

const svgNames = 'http://www.w3.org/2000/svg'; // a name that nobody fetches

/**
 * An SVG element with attributes and children.
 * @param {string} name
 * @param {Record<string, string | number>} attributes
 * @param {(Node | string)[]} children
 */
export function drawn(name, attributes, ...children) {
  const node = document.createElementNS(svgNames, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, String(value));
  node.append(...children);
  return node;
}

/**
 * Says what is going on, for eyes and for screen readers.
 * @param {string} text
 */
export const say = (text) => { byId('status').textContent = text; };

/**
 * Runs a function once it has not been called for a while.
 * @param {number} milliseconds
 * @param {() => void} run
 */
export function later(milliseconds, run) {
  let timer = 0;
  return () => { clearTimeout(timer); timer = setTimeout(run, milliseconds); };
}

export const calm = () => matchMedia('(prefers-reduced-motion: reduce)').matches;

/**
 * Brings something into view, without gliding for those who would rather not.
 * @param {Element} node
 * @param {ScrollLogicalPosition} block
 */
export function bringIntoView(node, block = 'nearest') {
  node.scrollIntoView({ block, inline: 'nearest', behavior: calm() ? 'auto' : 'smooth' });
}

const slice = 12; // milliseconds of work between two breaths

/**
 * Lets the browser do something else whenever much time has gone by: what is
 * awaited comes back at once, or when the browser has had its turn.
 */
export function breather() {
  let begun = performance.now();
  return async () => {
    if (performance.now() - begun < slice) return;
    await new Promise((done) => setTimeout(done));
    begun = performance.now();
  };
}
