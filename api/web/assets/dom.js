// The few things every module needs of the document.

export const byId = (id) => document.getElementById(id);

// An element with properties and children. Text goes in as text, never as HTML.
export function el(name, props = {}, ...children) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(props)) {
    if (key.includes('-') || key === 'role' || key === 'scope') node.setAttribute(key, value);
    else node[key] = value;
  }
  node.append(...children);
  return node;
}

// Says what is going on, for eyes and for screen readers.
export const say = (text) => { byId('status').textContent = text; };

// Runs a function once it has not been called for a while.
export function later(milliseconds, run) {
  let timer = 0;
  return () => { clearTimeout(timer); timer = setTimeout(run, milliseconds); };
}

const calm = () => matchMedia('(prefers-reduced-motion: reduce)').matches;

export function onScreen(node) {
  const { top, bottom } = node.getBoundingClientRect();
  return bottom > 0 && top < innerHeight;
}

// Brings something into view, without gliding for those who would rather not.
export function bringIntoView(node) {
  node.scrollIntoView({ block: 'nearest', inline: 'nearest', behavior: calm() ? 'auto' : 'smooth' });
}
