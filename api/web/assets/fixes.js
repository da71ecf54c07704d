// The edits that a diagnostic offers, as changes of the text. What they are is
// decided where the text is read; here they are only carried out.
import { Places } from './places.js';

/** @typedef {import('../types/index').Edit} Edit */

/**
 * The text with an edit made.
 * @param {string} text
 * @param {Edit} edit
 */
export function applied(text, edit) {
  const places = new Places(text);
  const changes = edit.changes.map((change) => ({ span: places.span(change), words: change.text }));
  return changes.reduceRight((all, { span: [from, to], words }) => all.slice(0, from) + words + all.slice(to), text);
}
