package tab

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"reedlark/tab/diag"
)

// What a header may ask for.
const (
	slowest, fastest    = 20, 400   // beats a minute
	straight, mostSwung = 0.5, 0.75 // where the half of a beat falls
)

var (
	decimal  = regexp.MustCompile(`[+-]?(\d+\.?\d*|\.\d+)`)
	fraction = regexp.MustCompile(`\d+\s*/\s*\d+`)
)

// readHeaders settles which lines are headers, and reads them. They end at
// the first line of tab.
func (p *page) readHeaders() {
	given := map[string]bool{}
	playing := false
	for _, s := range p.sheets {
		switch {
		case s.kind == HeaderLine && playing:
			s.kind, s.after = TextLine, true
		case s.kind == HeaderLine:
			p.readHeader(s, given)
		case !playing && s.key == "" && s.isMetre():
			p.readLoneMetre(s, given)
		}
		playing = playing || s.kind == TabLine
	}
	if p.opt.Metre != (Metre{}) {
		p.Metre = p.opt.Metre
	} else {
		p.Metre = p.Head.Metre
	}
}

// isMetre says that a line is a time signature and nothing else.
func (s *sheet) isMetre() bool {
	_, ok := ParseMetre(words(trimmed(s.cells)))
	return ok
}

func (p *page) readLoneMetre(s *sheet, given map[string]bool) {
	s.kind, s.items = HeaderLine, nil
	at := spanOf(s.cells, s.at(), len(trimmed(s.cells))+s.at())
	if p.twice("metre", "Metre:", at, given) {
		return
	}
	p.Head.Metre, _ = ParseMetre(words(trimmed(s.cells)))
	p.add(diag.Note, diag.LoneMetre, at, fmt.Sprintf("Write Metre: %s.", p.Head.Metre), fmt.Sprintf("%s on a line of its own is read as the metre.", p.Head.Metre))
}

// readHeader reads one header line.
func (p *page) readHeader(s *sheet, given map[string]bool) {
	value := trimmed(s.cells[s.body:])
	head := spanOf(s.cells, s.at(), s.body)
	if len(value) == 0 {
		p.add(diag.Warning, diag.HeaderEmpty, head, "", fmt.Sprintf("Nothing stands after %s:, so it is left out.", s.key))
		return
	}
	f := Field{Value: words(value), Span: spanOf(value, 0, len(value)), Line: s.span}
	key := s.key
	if key == "time" {
		key = "metre"
	}
	if p.twice(key, s.key+":", head, given) {
		return
	}
	switch key {
	case "title":
		p.readTitle(f)
	case "tempo":
		p.readTempo(f, value)
	case "metre":
		p.readMetre(f, value)
	case "swing":
		p.readSwing(f, value)
	default:
		p.keep(key, f)
	}
}

// twice warns of a header that was given before; the first one stays.
func (p *page) twice(key, name string, at diag.Span, given map[string]bool) bool {
	again := given[key]
	given[key] = true
	if again {
		p.add(diag.Warning, diag.HeaderTwice, at, "Keep one of them.", fmt.Sprintf("%s was given before, so this one is left out.", name))
	}
	return again
}

// keep stores a header that only an instrument can judge. Key: stands in for
// Harp: where there is none.
func (p *page) keep(key string, f Field) {
	h := &p.Head
	switch {
	case key == "layout":
		h.Layout = f
	case key == "tuning":
		h.Tuning = f
	case key == "harp":
		if h.IsKey {
			p.keyLeftOut(h.Harp)
		}
		h.Harp, h.IsKey = f, false
	case h.Harp.Value == "":
		h.Harp, h.IsKey = f, true
	default:
		p.keyLeftOut(f)
	}
}

func (p *page) keyLeftOut(f Field) {
	p.add(diag.Note, diag.HeaderRest, f.Span, "", "Key: is left out, because Harp: says which harp to play.")
}

func (p *page) readTitle(f Field) {
	title := strings.TrimSpace(p.text[f.Span.Start:f.Span.End])
	if n := utf8.RuneCountInString(title); n > p.limits.TitleLength {
		p.add(diag.Error, diag.TitleTooLong, f.Span, "Shorten it.", fmt.Sprintf("A title has at most %d characters, and this one has %d.", p.limits.TitleLength, n))
		return
	}
	p.Head.Title = title
}

func (p *page) readTempo(f Field, value []cell) {
	p.Head.Tempo = p.readNumber(f, value, slowest, fastest, "Write a number of beats a minute, such as Tempo: 100.",
		fmt.Sprintf("A tempo is between %d and %d beats a minute.", slowest, fastest))
}

func (p *page) readSwing(f Field, value []cell) {
	p.Head.Swing = p.readNumber(f, value, straight, mostSwung, "Write where the half of a beat falls, such as Swing: 0.6.",
		fmt.Sprintf("Swing is between %g (straight) and %g.", straight, mostSwung))
}

// readNumber reads the first number of a header; 0 where there is none that
// may be used.
func (p *page) readNumber(f Field, value []cell, least, most float64, hint, bounds string) float64 {
	at, text, found := p.firstFit(f, value, decimal, hint)
	if !found {
		return 0
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || x < least || x > most {
		p.add(diag.Error, diag.HeaderRange, at, hint, bounds)
		return 0
	}
	p.aboutRest(value, at, text)
	return x
}

func (p *page) readMetre(f Field, value []cell) {
	const hint = "Write the beats of a bar over 2, 4, 8 or 16, such as Metre: 4/4."
	at, text, found := p.firstFit(f, value, fraction, hint)
	if !found {
		return
	}
	m, ok := ParseMetre(text)
	if !ok {
		p.add(diag.Error, diag.HeaderRange, at, hint, fmt.Sprintf("There is no metre %s.", shorten(text)))
		return
	}
	p.aboutRest(value, at, text)
	p.Head.Metre = m
}

// aboutRest says of a header that more stands in it than the text that is read.
func (p *page) aboutRest(value []cell, at diag.Span, text string) {
	if at != spanOf(value, 0, len(value)) {
		p.add(diag.Note, diag.HeaderRest, at, "", fmt.Sprintf("Of %q only %s is read.", shorten(words(value)), text))
	}
}

// firstFit finds the first value of a header that has the right form. Nothing
// that fits is a warning.
func (p *page) firstFit(f Field, value []cell, form *regexp.Regexp, hint string) (diag.Span, string, bool) {
	text := words(value)
	m := form.FindStringIndex(text)
	if m == nil {
		p.add(diag.Warning, diag.HeaderUnread, f.Span, hint, fmt.Sprintf("%q says nothing that can be used here, so it is left out.", shorten(text)))
		return diag.Span{}, "", false
	}
	from := utf8.RuneCountInString(text[:m[0]])
	end := from + utf8.RuneCountInString(text[m[0]:m[1]])
	return spanOf(value, from, end), text[m[0]:m[1]], true
}
