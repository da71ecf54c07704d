package scan

import (
	"strings"
	"unicode"

	"reedlark/tab/lexicon"
)

// wordKind is what a word of a legend is.
type wordKind uint8

const (
	fillWord    wordKind = iota // says nothing here
	stopWord                    // a comma, or anything else that ends what was said
	joinWord                    // =, :, means
	markWord                    // a mark, written or named
	meaningWord                 // what a mark can stand for
)

// legendWord is a word of a line that may be a legend.
type legendWord struct {
	kind     wordKind
	from, to int
	forms    []affix // how the mark may stand at a hole
	letters  bool    // the mark is made of letters
	named    bool    // the mark was named, not written
	says     says
	bends    int
	weak     bool
}

// legendReader cuts a line into the words of a legend.
type legendReader struct {
	Cells
	words []legendWord
	u     *usage
}

// legendWords reads the words of a line.
func (c Cells) legendWords(from int, u *usage) []legendWord {
	r := &legendReader{Cells: c, u: u}
	for i := from; i < len(c); {
		i = r.next(i)
	}
	return r.words
}

func (r *legendReader) add(w legendWord) int {
	r.words = append(r.words, w)
	return w.to
}

// next reads what begins at cell i and returns where it ends.
func (r *legendReader) next(i int) int {
	c := r.Cells
	switch x := c[i].R; {
	case x == Blank:
		end := c.SkipBlanks(i)
		if end-i > 1 {
			return r.add(legendWord{kind: stopWord, from: i, to: end})
		}
		return end
	case x == '=' || x == ':' || x == '＝':
		return r.add(legendWord{kind: joinWord, from: i, to: i + 1})
	case x == '(' || x == '[':
		return r.bracket(i)
	case x == ')' || x == ']' || x == '、' || x == '。':
		return r.add(legendWord{kind: stopWord, from: i, to: i + 1})
	case c.tagAt(i) > 0:
		return r.tag(i)
	case isHole(x):
		return r.hole(i, i)
	case unicode.IsLetter(x):
		return r.word(i)
	}
	return r.symbols(i)
}

// bracket reads empty brackets, brackets around one hole or mark, or the
// opening bracket of anything else.
func (r *legendReader) bracket(i int) int {
	c := r.Cells
	closer, pair := ')', inRound
	if c[i].R == '[' {
		closer, pair = ']', inSquare
	}
	end := i + 1
	for end < len(c) && end-i < 6 && c[end].R != closer {
		end++
	}
	if end == len(c) || c[end].R != closer {
		return r.add(legendWord{kind: stopWord, from: i, to: i + 1})
	}
	switch inner := c[i+1 : end].Trimmed(); {
	case len(inner) == 0 || inner.SkipDigits(0) == len(inner) || inner.Text() == "x" || inner.Text() == "…":
		return r.add(legendWord{kind: markWord, from: i, to: end + 1, forms: []affix{pair}})
	case len(inner) <= 2 && !unicode.IsLetter(inner[0].R) && !isHole(inner[0].R):
		r.add(markOf(inner.Text(), i, end+1))
		return end + 1
	}
	return r.add(legendWord{kind: stopWord, from: i, to: i + 1})
}

// markOf is a mark as written, which may stand before a hole, behind it or on
// both sides.
func markOf(text string, from, to int) legendWord {
	return legendWord{kind: markWord, from: from, to: to, forms: []affix{{before: text}, {after: text}, {text, text}}}
}

// tag reads an opening tag and the word it is around.
func (r *legendReader) tag(i int) int {
	c := r.Cells
	end := c.tagAt(i)
	if c[i+1].R == '/' {
		return end
	}
	open := c[i:end].Text()
	stop := end
	for stop < len(c) && c[stop].R != '<' {
		stop++
	}
	if stop < len(c) && c.tagAt(stop) > 0 {
		end = c.tagAt(stop)
	}
	return r.add(legendWord{kind: markWord, from: i, to: end, forms: []affix{{open, "</" + open[1:]}}})
}

// hole reads a number with what touches it: a mark with its side, or nothing
// where the number is bare.
func (r *legendReader) hole(i, number int) int {
	c := r.Cells
	if circled(c[number].R) > 0 {
		return r.add(legendWord{kind: markWord, from: i, to: number + 1, forms: []affix{inCircle}})
	}
	end := c.skipHole(number)
	to := end
	for to < len(c) && !delimits(c, to) && c[to].R != '=' && c[to].R != ':' && !isHole(c[to].R) {
		to++
	}
	x := affix{c[i:number].Text(), strings.TrimRight(c[end:to].Text(), ".;!?")}
	if x.bare() {
		return r.add(legendWord{from: i, to: to, forms: []affix{x}})
	}
	return r.add(legendWord{kind: markWord, from: i, to: to, forms: []affix{x}})
}

// symbols reads a run of signs.
func (r *legendReader) symbols(i int) int {
	c := r.Cells
	end := i
	for end < len(c) && !unicode.IsLetter(c[end].R) && !delimits(c, end) && c[end].R != '=' && c[end].R != ':' && !isHole(c[end].R) {
		end++
	}
	end = max(end, i+1)
	heads := i == 0 || strings.ContainsRune(" ([=:", c[i-1].R)
	switch text := c[i:end].Text(); {
	case end < len(c) && isHole(c[end].R) && heads && end-i <= 2:
		return r.hole(i, end)
	case heads && end-i <= 3 && text != ",":
		return r.add(markOf(text, i, end))
	}
	return r.add(legendWord{kind: stopWord, from: i, to: end})
}

// word reads a word or a phrase.
func (r *legendReader) word(i int) int {
	c := r.Cells
	if end := r.unspaced(i); end > 0 {
		return end
	}
	words, ends := c.words(i)
	if len(words) == 0 {
		return i + 1
	}
	if end := ends[0]; end < len(c) && isHole(c[end].R) && r.u.has(affix{before: words[0]}) {
		return r.hole(i, end)
	}
	if senses, n := lexicon.Phrase(words); n > 0 {
		if w, ok := sense(senses); ok {
			w.from, w.to = i, ends[n-1]
			return r.add(w)
		}
	}
	if m := markOf(words[0], i, ends[0]); len([]rune(words[0])) <= 3 && r.u.hasAny(m.forms) {
		m.letters = true
		return r.add(m)
	}
	return r.add(legendWord{from: i, to: ends[0]})
}

// unspaced reads a word of a script that is written without blanks; 0 where the
// cell begins none.
func (r *legendReader) unspaced(i int) int {
	c := r.Cells
	if !unicode.In(c[i].R, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul) {
		return 0
	}
	text := c[i:min(i+longestAffix, len(c))].Text()
	senses, n := lexicon.Prefix(text)
	length := len([]rune(text[:n]))
	if w, ok := sense(senses); ok {
		w.from, w.to = i, i+length
		return r.add(w)
	}
	if m := markOf(string(c[i].R), i, i+1); r.u.hasAny(m.forms) {
		m.letters = true
		return r.add(m)
	}
	return r.add(legendWord{from: i, to: i + 1})
}

// named are the marks that have names, and the forms each may have.
var named = map[lexicon.Meaning][]affix{
	lexicon.Minus:     {{before: "-"}, {after: "-"}},
	lexicon.Plus:      {{before: "+"}, {after: "+"}},
	lexicon.Dot:       {{after: "."}, {before: "."}, {after: "\u0323"}, {after: "\u0307"}, {after: "·"}},
	lexicon.Underline: {{"_", "_"}, lineLow, {"<u>", "</u>"}, {after: "_"}, {before: "_"}},
	lexicon.Circle:    {inCircle},
	lexicon.Brackets:  {inRound, inSquare},
	lexicon.ArrowUp:   {{after: "↑"}, {before: "↑"}, {after: "^"}, {before: "^"}},
	lexicon.ArrowDown: {{after: "↓"}, {before: "↓"}, {after: "v"}, {before: "v"}},
	lexicon.Star:      {{after: "*"}, {before: "*"}},
	lexicon.Quote:     {{after: "'"}, {before: "'"}},
	lexicon.Slash:     {{after: "/"}, {before: "/"}},
	lexicon.Caret:     {{after: "^"}, {before: "^"}},
	lexicon.Without:   {{}},
}

// sense is what a phrase means in a legend: a breath above all, then how a note
// is played, then the name of a mark, then what joins the two.
func sense(senses []lexicon.Sense) (legendWord, bool) {
	if b := breathOf(senses); b != 0 {
		return legendWord{kind: meaningWord, says: map[rune]says{'B': saysBlow, 'D': saysDraw}[b], weak: senses[0].Weak}, true
	}
	for _, s := range senses {
		w := legendWord{kind: meaningWord, weak: s.Weak}
		switch s.Meaning {
		case lexicon.Over:
			w.says = saysOver
		case lexicon.Bend, lexicon.Half:
			w.says, w.bends = saysBend, 1
		case lexicon.Whole:
			w.says, w.bends = saysBend, 2
		case lexicon.Hold:
			w.says = saysHold
		case lexicon.Together:
			w.says = saysTogether
		case lexicon.Optional:
			w.says = saysOptional
		default:
			continue
		}
		return w, true
	}
	for _, s := range senses {
		switch forms := named[s.Meaning]; {
		case forms != nil:
			return legendWord{kind: markWord, forms: forms, named: true}, true
		case s.Meaning == lexicon.Means:
			return legendWord{kind: joinWord}, true
		}
	}
	return legendWord{}, false
}

// has reports whether the page writes a hole so.
func (u *usage) has(x affix) bool { return u.affixes[x] > 0 }

// hasAny reports whether the page writes a hole in one of some forms.
func (u *usage) hasAny(forms []affix) bool {
	for _, x := range forms {
		if u.has(x) || u.has(x.flipped()) {
			return true
		}
	}
	return false
}

// flipped is an affix of letters in the other case.
func (x affix) flipped() affix {
	if up := (affix{strings.ToUpper(x.before), strings.ToUpper(x.after)}); up != x {
		return up
	}
	return affix{strings.ToLower(x.before), strings.ToLower(x.after)}
}
