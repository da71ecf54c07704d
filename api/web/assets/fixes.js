// What can be done about a diagnostic at one click: its hint, as a change of the
// text. A hint is written for people; the code says which kind of change it
// asks for. Advice that takes a decision about the music is left to the reader.
import { linesOf, spanOf, startOf } from './places.js';

// The changes for a diagnostic: each a label and the text that it makes.
export function fixesOf(text, d) {
  const spot = new Spot(text, d);
  const own = fixes[d.code] ?? literal;
  return own(spot, d).filter(Boolean);
}

class Spot {
  constructor(text, d) {
    this.text = text;
    [this.start, this.end] = spanOf(text, d);
    this.words = text.slice(this.start, this.end);
    this.head = startOf(text, d.line);
    this.line = linesOf(text)[d.line - 1] ?? '';
    this.tail = this.head + this.line.length;
  }

  // A change of one stretch of the text.
  edit(label, from, to, instead) {
    return { label, from, to, instead };
  }

  put(instead) { return this.edit(`Put ${brief(instead)} there`, this.start, this.end, instead); }
  atHead(word) { return this.edit(`Put ${word} before the line`, this.head, this.head, word + ' '); }
  atTail(word) { return this.edit(`Put ${word} at the end of the line`, this.tail, this.tail, ' ' + word); }
  onTop(line) { return this.edit(`Put ${line} on top`, 0, 0, line + '\n'); }

  // Takes a stretch out, with a blank that would be left over.
  out(to = this.end) {
    const blank = /^[ \t]/.test(this.text.slice(to)) && !/\S$/.test(this.text.slice(this.head, this.start));
    return this.edit('Take it out', this.start, to + (blank ? 1 : 0), '');
  }

  lineOut() { return this.edit('Take the line out', this.head, Math.min(this.text.length, this.tail + 1), ''); }

  lineToTop() {
    const before = this.text.slice(0, this.head);
    return this.edit('Move the line to the top', 0, Math.min(this.text.length, this.tail + 1), this.line + '\n' + before);
  }

  wordToTail() {
    const rest = this.text.slice(this.end, this.tail).replace(/^[ \t]/, '');
    return this.edit(`Move ${this.words} to the end of the line`, this.start, this.tail, rest.trimEnd() + ' ' + this.words);
  }
}

const brief = (words) => (words.length > 24 ? words.slice(0, 23) + '…' : words);

// "Write 4 4." has what is to be written and nothing else.
function literal(spot, d) {
  const found = d.hint.match(/^Write ([^ .a-z]\S*(?: [-+\dBD]\S*)*?)(?:\.$|\.? for )/);
  return [found && d.length > 0 && spot.put(found[1])];
}

// "such as Tempo: 100."
function example(spot, d) {
  const found = d.hint.match(/such as (.+)\.$/);
  return [found && spot.edit(`Put ${found[1]} there`, spot.head, spot.tail, found[1])];
}

const closers = { '(': ')', '[': ']', '{': '}', '|:': ':|' };

// What is opened is closed: with its own bracket where it has another, else at
// the end of the line.
function closing(s) {
  const closer = closers[s.text.slice(s.start).match(/^(\|:|.)/)[0]] ?? ':|';
  const wrong = s.text.slice(s.start, s.tail).match(/^[(\[][^()[\]]*([)\]])/);
  const at = s.start + (wrong?.[0].length ?? 0) - 1;
  return [wrong && wrong[1] !== closer ? s.edit(`Put ${closer} there`, at, at + 1, closer) : s.atTail(closer)];
}

const header = (s, d) => [s.edit(`Put ${d.hint} there`, s.head, s.tail, d.hint)];
const takeOut = (s) => [s.out()];

// A kind of mark kept, the others left out.
function keepOne(s) {
  const bare = s.words.match(/^[-−]?[^/*~o'b]*/)[0];
  return [...new Set(s.words.match(/\/+|\*|~|o|'+|b+/g))].map((mark) => s.put(bare + mark));
}

// Holes that touch: sounded together, or one after the other.
function together(s, d) {
  const found = d.hint.match(/^Write (\S+) (?:if they sound together|for the chord, (.+) for one)/);
  const apart = s.words.replace(/[,+]/g, ' ').replace(/\/(?=\d)/g, s.words.startsWith('-') ? '/ ' : ' ');
  if (found) return [s.put(found[1]), s.put(found[2] ?? apart)];
  const shaken = d.hint.match(/^Write (\S+) for a shake/);
  if (shaken) return [s.put(shaken[1]), s.put(s.words.replace('~', '~ '))];
  if (d.hint.startsWith('Write text: ')) return [s.atHead('text:')];
  if (d.hint === 'Put a blank between them.') return [s.put(apart)];
  if (d.hint.startsWith('Put a blank between the hold')) return [s.put(s.words.replace(/-(?=-\d)/, '- '))];
  return [s.put(s.words.replace(/([^\s-])-/g, '$1 -')), s.put(s.words.replaceAll('-', ' '))];
}

// A draw sign before a group goes to each number in it.
function signInside(s) {
  const group = s.text.slice(s.end, s.tail).match(/^\s*([({])([^(){}]*)([)}])/);
  if (!group) return [];
  const [all, open, inside, close] = group;
  const instead = open + inside.replace(/(^|[^-\d])(\d)/g, '$1-$2') + close;
  return [s.edit(`Put ${instead} there`, s.start, s.end + all.length, instead)];
}

function drawn(s, d) {
  const sign = d.hint.match(/^Write (-\d+)/)?.[1];
  const after = s.text.slice(s.end, s.tail).match(/^\s*\d+/)?.[0] ?? '';
  return [sign && after && s.edit(`Put ${sign} there`, s.start, s.end + after.length, sign)];
}

function otherBreath(s, d) {
  const found = s.words.match(/^-?(\d+.*)$/);
  return [d.hint && found && s.put(s.words.startsWith('-') ? found[1] : '-' + found[1])];
}

function breath(s) {
  return /[↑↓]/.test(s.text) ? [s.put(s.words + '↑'), s.put(s.words + '↓')] : [s.put('B' + s.words), s.put('D' + s.words)];
}

const fixes = {
  'bare-number': breath,
  'control-character': takeOut,
  'count-twice': (s) => [s.lineOut()],
  'descending-chord': together,
  'empty-brace': (s) => [s.out(s.start + s.text.slice(s.start).match(/^.[^)\]}]*[)\]}]?/)[0].length)],
  'empty-bracket': (s) => fixes['empty-brace'](s),
  'grace-held': takeOut,
  'header-empty': (s) => [s.lineOut()],
  'header-late': (s) => [s.lineToTop()],
  'header-range': example,
  'header-twice': (s) => [s.lineOut()],
  'header-unread': example,
  'hold-or-draw': drawn,
  'key-as-harp': header,
  'key-not-read': header,
  'lone-metre': (s) => [s.put('Metre: ' + s.words)],
  'lower-case-b': (s) => [s.put('B' + parseInt(s.words, 10)), s.put(parseInt(s.words, 10) + '/')],
  'mark-twice': (s) => [s.put(s.words.replace(/([*~o])\1+/g, '$1'))],
  'metre-guessed': (s, d) => [s.onTop(d.hint.match(/Metre: \S+/)[0])],
  'mixed-marks': keepOne,
  'never-closed': closing,
  'never-opened': takeOut,
  numbering: (s) => [s.out(), s.atHead('tab:')],
  'over-none': otherBreath,
  'read-as-words': (s) => [s.atHead('tab:')],
  'repeat-count': (s) => [s.put(/^x[01]$/.test(s.words) ? '' : 'x16')],
  'repeat-from-here': (s) => [s.atHead('|:')],
  'repeats-nothing': takeOut,
  'shake-too-wide': (s) => [s.put(s.words.replace(/^(-?)(\d\d).*/, '$1$2~'))],
  'sign-before-bracket': signInside,
  'slide-alone': takeOut,
  'slide-twice': takeOut,
  'times-inside': (s) => [s.wordToTail()],
  'two-readings': together,
  'unknown-word': (s) => [s.out(), s.put(`(${s.words})`), s.atHead('text:')],
};
