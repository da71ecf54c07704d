// Keys that act while the sheet, or no control at all, has the focus.
import { byId } from './dom.js';

/** @param {Record<string, () => void>} actions by the name of a key */
export function wireKeys(actions) {
  byId('keys').onclick = () => byId('keys-help').showModal();
  addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.defaultPrevented || !listening()) return;
    const act = e.key === '?' ? () => byId('keys-help').showModal() : byId('keys-on').checked ? actions[e.key] ?? actions[e.key.toLowerCase()] : null;
    if (!act) return;
    e.preventDefault();
    act();
  });
}

function listening() {
  const at = document.activeElement;
  return (!at || at === document.body || byId('sheet').contains(at) || at === byId('play')) && !document.querySelector('dialog[open]');
}
