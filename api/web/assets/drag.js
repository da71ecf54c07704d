// Drawing a stretch over the picture: with the mouse, a pen, or a finger that
// moves sideways (up and down it scrolls the page).

const least = 8; // pixels; less is a tap

/** @typedef {{x: number, y: number}} Point */

/**
 * @param {HTMLElement} box
 * @param {(from: Point, to: Point, done: boolean) => void} stretched
 */
export function wireDrag(box, stretched) {
  /** @type {Point | null} */
  let start = null;
  let moved = false;
  const at = (/** @type {PointerEvent} */ e) => ({ x: e.clientX, y: e.clientY });
  box.addEventListener('pointerdown', (e) => { start = e.isPrimary && e.button === 0 ? at(e) : null; moved = false; });
  box.addEventListener('pointermove', (e) => {
    if (!start) return;
    if (!moved && Math.hypot(e.clientX - start.x, e.clientY - start.y) < least) return;
    if (!moved) box.setPointerCapture(e.pointerId);
    moved = true;
    stretched(start, at(e), false);
  });
  box.addEventListener('pointerup', (e) => { if (start && moved) stretched(start, at(e), true); start = null; });
  box.addEventListener('pointercancel', () => { start = null; });
  box.addEventListener('click', (e) => { if (moved) e.stopImmediatePropagation(); moved = false; }); // it was no tap
}

/**
 * The second of the sound that lies at a place of the screen: in the strip that
 * is nearest to it.
 * @param {HTMLElement} box
 * @param {Point} point
 */
export function secondAt(box, { x, y }) {
  const away = (/** @type {DOMRect} */ { left, right, top, bottom }) => Math.max(top - y, y - bottom, 0) + Math.max(left - x, x - right, 0);
  const strips = /** @type {SVGSVGElement[]} */ ([...box.querySelectorAll('.strip:has(.system)')]);
  const [svg] = strips.sort((a, b) => away(a.getBoundingClientRect()) - away(b.getBoundingClientRect()));
  const system = /** @type {SVGElement} */ (svg.querySelector('.system')).dataset;
  const [from, to, scale] = [system.from, system.to, system.scale].map(Number);
  const p = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM()?.inverse());
  return Math.min(to - 1e-3, Math.max(from, from + (p.x - Number(svg.dataset.left)) / scale));
}
