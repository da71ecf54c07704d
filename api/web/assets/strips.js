// The picture of a score cut into its head, its strips and its key, so that
// strips lie side by side and paper breaks between them. A strip is read when it
// comes near: of a long tab few are ever looked at.

const eager = 12; // strips that are read at once
const near = '600px 0px';
const value = (text, name) => Number(text.match(new RegExp(`data-${name}="([^"]*)"`))?.[1]);

export class Strips {
  filled = () => {}; // called with the notes of a strip that was read
  #open = ''; // the start tag of the whole
  #strips = [];
  #watch = new IntersectionObserver((seen) => {
    for (const { isIntersecting, target } of seen) if (isIntersecting) this.#fill(target);
  }, { rootMargin: near });

  constructor() { addEventListener('beforeprint', () => this.#strips.forEach((s) => this.#fill(s))); }

  // The pieces of a picture, in order. The head speaks for all of them.
  cut(text) {
    this.#watch.disconnect();
    const [before, ...systems] = text.split(/(?=<g class="system")/);
    const end = systems.at(-1).lastIndexOf('</g>') + 4;
    const key = systems.at(-1).slice(end).replace('</svg>', '');
    systems.push(systems.pop().slice(0, end));
    this.#open = before.match(/<svg[^>]*>/)[0];
    const [, , width, height] = this.#open.match(/viewBox="([^"]*)"/)[1].split(' ').map(Number);
    const head = sized(read(before + '</svg>'), 'head', `0 0 ${width} ${value(systems[0], 'top')}`);
    head.querySelector('.paper').remove();
    this.#strips = systems.map((system) => this.#strip(system, head));
    const foot = sized(read(this.#open + key + '</svg>'), 'key', `0 ${height - 24} ${width} 24`);
    hide(foot);
    this.#strips.forEach((s, i) => (i < eager ? this.#fill(s) : this.#watch.observe(s)));
    return [head, ...this.#strips, foot];
  }

  #strip(system, head) {
    const { width } = head.viewBox.baseVal;
    const svg = sized(head.cloneNode(false), 'strip', `0 ${value(system, 'top')} ${width} ${value(system, 'height')}`);
    hide(svg);
    svg.text = system;
    svg.first = value(system, 'index'); // NaN where it has no notes
    return svg;
  }

  #fill(svg) {
    if (!svg.text) return;
    const root = read(this.#open + svg.text + '</svg>');
    svg.text = '';
    svg.append(root.querySelector('.system'));
    this.filled([...svg.querySelectorAll('.note')]);
  }

  // The group of a note, whose strip is read for it.
  noteAt(index) {
    const strip = this.#strips.findLast((s) => s.first <= index);
    if (!strip) return null;
    this.#fill(strip);
    return strip.querySelector(`[data-index="${index}"]`);
  }
}

// SVG from our own server, read as XML: what is not well formed is an error.
function read(text) {
  const root = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement;
  if (root.nodeName !== 'svg') throw new Error('The picture cannot be read.');
  return document.adoptNode(root);
}

function sized(svg, name, box) {
  svg.setAttribute('class', name);
  svg.setAttribute('viewBox', box);
  for (const a of ['width', 'height']) svg.removeAttribute(a);
  return svg;
}

function hide(svg) {
  for (const a of ['role', 'aria-labelledby']) svg.removeAttribute(a);
  svg.setAttribute('aria-hidden', 'true');
}
