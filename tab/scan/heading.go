package scan

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/lexicon"
	"reedlark/tab/tree"
)

// headWord is a word or a sign of a line of words.
type headWord struct {
	text     string
	from, to int // its cells
}

// is reports whether the headWord has a meaning in any language.
func (t headWord) is(m lexicon.Meaning) bool { return lexicon.Is(t.text, m) }

// headWords cuts cells into words (letters, digits, sharps and flats) and signs.
func headWords(cells Cells) (out []headWord) {
	for i := 0; i < len(cells); {
		from := i
		for i < len(cells) && inHeadWord(cells[i].R) {
			i++
		}
		if i == from {
			i++
		}
		if cells[from].R != Blank {
			out = appendHeadWords(out, cells, from, i)
		}
	}
	return out
}

// appendHeadWords adds a word. Where Chinese, Japanese or Korean is written without
// blanks, it is taken apart into the words that are known.
func appendHeadWords(out []headWord, cells Cells, from, to int) []headWord {
	for from < to {
		end := from
		for end < to && !isCJK(cells[end].R) {
			end++
		}
		if end == from {
			text := cells[from:to].Text()
			_, n := lexicon.Prefix(text)
			end += max(utf8.RuneCountInString(text[:n]), 1)
		}
		out = append(out, headWord{cells[from:end].Text(), from, end})
		from = end
	}
	return out
}

func isCJK(r rune) bool {
	return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul)
}

func inHeadWord(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) || r == '#' || r == '♯' || r == '♭'
}

// readHeadings reads what the words above the first row say about harp, tempo and
// metre, where no header says it. Words never lose against each other: the first
// is taken.
func (p *reader) readHeadings() {
	articles := p.articles()
	for _, l := range p.Lines {
		if l.Kind == tree.TabLine {
			break
		}
		if l.Kind != tree.TextLine || l.key != "" || l.blank() {
			continue
		}
		t := headWords(l.Cells)
		for i := range t {
			p.tempoAt(l, t, i)
			p.metreAt(l, t, i)
			p.positionAt(t, i)
			p.harpAt(l, t, i, articles)
		}
	}
	p.readFirstLine()
}

// readFirstLine takes the first line of the page for its title, if it is words
// without a colon.
func (p *reader) readFirstLine() {
	for _, l := range p.Lines {
		if l.blank() {
			continue
		}
		from := l.At()
		if l.key == "text" {
			from = l.Cells.SkipBlanks(l.Body)
		}
		if from == len(l.Cells) {
			return
		}
		words := l.Cells[from:].Trimmed()
		text := strings.TrimSpace(p.Text[words[0].Span().Start:l.Span.End])
		fits := l.Kind == tree.TextLine && (l.key == "" || l.key == "text") && l.headed < len(words) && words.wordy() && !l.votes.likeTab() && !strings.Contains(text, ":")
		if fits && p.Head.Title == "" && len([]rune(text)) <= p.opt.Limits.TitleLength {
			p.Head.Title = text
		}
		return
	}
}

// inWords notes that words are read as a header.
func (p *reader) inWords(l *Line, from, to int, header string) {
	l.headed += to - from
	p.Report(diag.Problem{
		Severity: diag.Note, Code: diag.HeaderInWords, Span: l.Cells.Span(from, to),
		Message: "This is read as {header}.", Values: diag.Values{diag.Text("header", header)},
		Edits: func(e *diag.Editor) { e.Header(header).Keep() },
	})
}

// tempoAt reads 90 bpm, BPM: 90, Tempo 80 and ♩ = 72.
func (p *reader) tempoAt(l *Line, t []headWord, i int) {
	n, err := strconv.Atoi(t[i].text)
	if p.Head.Tempo != 0 || err != nil || n < beat.MinTempo || n > beat.MaxTempo {
		return
	}
	from, to := i, i
	switch before := label(t, i); {
	case before >= 0 && (t[before].is(lexicon.Tempo) || strings.Trim(t[before].text, "♩♪𝅘𝅥") == ""):
		from = before
	case i+1 < len(t) && t[i+1].is(lexicon.Tempo):
		to = i + 1
	case i+3 < len(t) && t[i+1].text == "beats" && t[i+3].text == "minute":
		to = i + 3
	default:
		return
	}
	p.Head.Tempo = float64(n)
	p.inWords(l, t[from].from, t[to].to, fmt.Sprintf("Tempo: %d", n))
}

// label is the headWord before a value, with a colon or an equals sign between or
// not; -1 for none.
func label(t []headWord, i int) int {
	i--
	if i >= 0 && (t[i].text == ":" || t[i].text == "=") {
		i--
	}
	return i
}

// metreAt reads Time signature: 3/4, in 3/4 and 3/4 time.
func (p *reader) metreAt(l *Line, t []headWord, i int) {
	if i+2 >= len(t) || t[i+1].text != "/" || p.Head.Metre != (tree.Metre{}) {
		return
	}
	m, ok := tree.ParseMetre(t[i].text + "/" + t[i+2].text)
	if !ok {
		return
	}
	before := label(t, i)
	switch {
	case before >= 0 && (t[before].is(lexicon.Metre) || t[before].text == "in" || t[before].text == "signature"):
	case i+3 < len(t) && t[i+3].is(lexicon.Metre):
	default:
		return
	}
	p.Head.Metre = m
	p.inWords(l, t[i].from, t[i+2].to, "Metre: "+m.String())
}

// ordinals are the positions in words. Common practice, no source.
var ordinals = map[string]int{
	"1st": 1, "first": 1, "2nd": 2, "second": 2, "2a": 2, "2ª": 2, "segunda": 2, "seconda": 2, "deuxième": 2, "2e": 2, "zweite": 2,
	"3rd": 3, "third": 3, "3a": 3, "3ª": 3, "tercera": 3, "terceira": 3, "terza": 3, "troisième": 3, "dritte": 3,
	"4th": 4, "fourth": 4, "5th": 5, "fifth": 5, "12th": 12, "twelfth": 12,
}

// positionAt reads 2nd position and position 2.
func (p *reader) positionAt(t []headWord, i int) {
	if p.Head.Position != 0 || !t[i].is(lexicon.Position) {
		return
	}
	if i > 0 {
		p.Head.Position = ordinals[strings.ToLower(t[i-1].text)]
	}
	if i+1 < len(t) && p.Head.Position == 0 {
		if n, err := strconv.Atoi(t[i+1].text); err == nil && n >= 1 && n <= 12 {
			p.Head.Position = n
		}
	}
}

// articles counts how often “A harp” is written on the page: once it is the
// article, twice it is a key.
func (p *reader) articles() (n int) {
	for _, l := range p.Lines {
		if l.Kind != tree.TextLine {
			continue
		}
		t := headWords(l.Cells)
		for i := 1; i < len(t); i++ {
			if strings.EqualFold(t[i-1].text, "a") && t[i].is(lexicon.Harp) {
				n++
			}
		}
	}
	return n
}

// harpAt reads a harp or a key from the word for it at headWord i: G harp, Harp in
// G, Harp key: low F, Key of A.
func (p *reader) harpAt(l *Line, t []headWord, i int, articles int) {
	isHarp, isKey := t[i].is(lexicon.Harp), t[i].is(lexicon.Key)
	if p.Head.Harp.Value != "" && !p.Head.Harp.InWords || !isHarp && !isKey {
		return
	}
	if p.Head.Harp.InWords && (p.Head.IsKey == isKey || isKey) {
		return // the first of a kind, and a harp rather than a key
	}
	from, to, value := -1, -1, ""
	if isHarp {
		from, to, value = p.keyBefore(t, i, articles)
	}
	if value == "" {
		from, to, value = keyAfter(t, i)
	}
	if value == "" {
		return
	}
	p.Head.Harp = tree.Field{Value: value, Span: l.Cells.Span(t[from].from, t[to].to), Line: l.Span, InWords: true}
	p.Head.IsKey = !isHarp
	l.headed += t[to].to - t[from].from
}

// keyBefore is the key right before the word for a harp: G harp, (low F harp).
func (p *reader) keyBefore(t []headWord, i, articles int) (from, to int, value string) {
	at := i - 1
	for at >= 0 && (t[at].text == "-" || t[at].text == "の" || t[at].is(lexicon.Key)) { // C-harp, C key harp
		at--
	}
	if at < 0 {
		return -1, -1, ""
	}
	pitch, ok := pitchOf(t[at].text, t[i])
	before := ""
	if at > 0 {
		before = strings.ToLower(t[at-1].text)
	}
	article := strings.EqualFold(t[at].text, "a") && !isCJK([]rune(t[i].text)[0]) && articles < 2 && before != "(" && before != "[" && !lexicon.Is(before, lexicon.For) && before != ":"
	if !ok || article || t[at].text == strings.ToLower(t[at].text) && len(t[at].text) == 1 {
		return -1, -1, ""
	}
	from = at
	if before == "low" || before == "high" {
		pitch, from = before+" "+pitch, at-1
	}
	return from, i, pitch
}

// mostBetween is how many small words may stand between a word for the harp and
// its key: Harp key: G, harmonica diatonique en do.
const mostBetween = 4

// keyAfter is the key behind a word for the harp or the key.
func keyAfter(t []headWord, i int) (from, to int, value string) {
	joined := false // a sign or a small word says that the key comes
	for at := i + 1; at < len(t) && at <= i+mostBetween; at++ {
		word := strings.ToLower(t[at].text)
		register := ""
		if (word == "low" || word == "high") && at+1 < len(t) {
			register, at = word+" ", at+1
		}
		pitch, ok := pitchOf(t[at].text, t[i])
		switch {
		case ok && joined && !small[word]:
			end := at
			if at+1 < len(t) {
				if sharp, ok := pitchOf(t[at].text+" "+t[at+1].text, t[i]); ok {
					pitch, end = sharp, at+1
				}
			}
			return i, end, register + pitch
		case joins[word] || t[at].is(lexicon.Key):
			joined = true
		case !unicode.IsLetter([]rune(word)[0]):
			return -1, -1, ""
		}
	}
	return -1, -1, ""
}

// joins are the words and signs that lead from a harp to its key.
var joins = map[string]bool{
	":": true, "=": true, "in": true, "of": true, "en": true, "em": true, "de": true, "w": true, "в": true, "do": true, "van": true, "is": true,
}

// small are joining words that are note names too.
var small = map[string]bool{"de": true, "do": false, "em": true, "en": true}

// pitchOf is the English name of a note that is written in the language of a word
// beside it.
func pitchOf(name string, beside headWord) (string, bool) {
	for _, s := range lexicon.Senses(beside.text) {
		if s.Meaning != lexicon.Harp && s.Meaning != lexicon.Key {
			continue
		}
		if pitch, ok := lexicon.Pitch(name, s.Lang); ok {
			return pitch, true
		}
	}
	return "", false
}
