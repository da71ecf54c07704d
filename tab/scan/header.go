package scan

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

var (
	decimal  = regexp.MustCompile(`[+-]?(\d+\.?\d*|\.\d+)`)
	spaced   = regexp.MustCompile(`(?i)rhythm`)
	fraction = regexp.MustCompile(`\d+\s*/\s*\d+`)
)

// readHeaders settles which lines are headers, and reads them. They end at
// the first line of tab.
func (p *reader) readHeaders() {
	given := map[string]bool{}
	playing := false
	for _, l := range p.Lines {
		switch {
		case l.Kind == tree.HeaderLine && playing && p.changesMetre(l):
		case l.Kind == tree.HeaderLine && playing:
			l.Kind, l.late = tree.TextLine, true
		case l.Kind == tree.HeaderLine:
			p.readHeader(l, given)
		case !playing && l.key == "" && l.isMetre():
			p.readLoneMetre(l, given)
		}
		playing = playing || l.Kind == tree.TabLine
	}
	p.readHeadings()
	if p.opt.Metre != (tree.Metre{}) {
		p.Metre = p.opt.Metre
	} else {
		p.Metre = p.Head.Metre
	}
}

// changesMetre reports whether a header below the first line of tab is another
// metre, which holds from the next line of tab on. A page that begins without a
// metre has none to change, and the metre of a request holds for the whole page.
func (p *reader) changesMetre(l *Line) bool {
	if l.key != "metre" && l.key != "meter" && l.key != "time" || p.Head.Metre == (tree.Metre{}) {
		return false
	}
	metre, ok := tree.ParseMetre(l.Cells[l.Body:].Trimmed().Text())
	if ok && p.opt.Metre == (tree.Metre{}) {
		l.Metre = metre
	}
	return ok
}

// isMetre reports whether a line is a time signature and nothing else.
func (l *Line) isMetre() bool {
	_, ok := tree.ParseMetre(l.Cells.Trimmed().Text())
	return ok
}

func (p *reader) readLoneMetre(l *Line, given map[string]bool) {
	l.Kind, l.first = tree.HeaderLine, nil
	at := l.Cells.Span(l.At(), len(l.Cells.Trimmed())+l.At())
	if p.twice("metre", "Metre:", at, given) {
		return
	}
	p.Head.Metre, _ = tree.ParseMetre(l.Cells.Trimmed().Text())
	p.Report(diag.Problem{
		Severity: diag.Note, Code: diag.LoneMetre, Span: at,
		Message: "{metre} on a line of its own is read as the metre.",
		Hint:    "Write Metre: {metre}.",
		Values:  diag.Values{diag.Text("metre", p.Head.Metre.String())},
		Edits:   func(e *diag.Editor) { e.Write("Metre: " + e.Text(at)).Keep() },
	})
}

// readHeader reads one header line.
func (p *reader) readHeader(l *Line, given map[string]bool) {
	value := l.Cells[l.Body:].Trimmed()
	head := l.Cells.Span(l.At(), l.Body)
	if len(value) == 0 {
		p.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.HeaderEmpty, Span: head,
			Message: "Nothing is written after {word}:, so it is left out.",
			Values:  diag.Values{diag.Text("word", l.key)},
			Edits:   func(e *diag.Editor) { e.RemoveLine().Keep() },
		})
		return
	}
	f := tree.Field{Value: value.Text(), Span: value.Span(0, len(value)), Line: l.Span}
	key := l.key
	if key == "time" {
		key = "metre"
	}
	if p.twice(key, l.key+":", head, given) {
		return
	}
	switch _, dialect := asked[key]; {
	case dialect && !l.obeyed && p.free():
		p.Add(diag.Warning, diag.HeaderUnread, f.Span, "Write the mark with a hole, such as Draw: 4-, or Bracketed: draw.", fmt.Sprintf("%q says nothing that can be used here, so it is left out.", diag.Shorten(f.Value)))
		return
	case dialect:
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
	case "spacing":
		_, _, p.Head.Spaced = p.firstFit(f, value, spaced, "Write Spacing: rhythm where the blanks show how long notes are.")
	default:
		p.keep(key, f)
	}
}

// twice warns of a header that was given before; the first one stays.
func (p *reader) twice(key, name string, at diag.Span, given map[string]bool) bool {
	again := given[key]
	given[key] = true
	if again {
		p.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.HeaderTwice, Span: at,
			Message: "{word} was given before, so this one is left out.",
			Hint:    "Keep one of them.",
			Values:  diag.Values{diag.Text("word", name)},
			Edits:   func(e *diag.Editor) { e.RemoveLine().Keep() },
		})
	}
	return again
}

// keep stores a header that only an instrument can judge. Key: replaces a
// missing Harp:.
func (p *reader) keep(key string, f tree.Field) {
	h := &p.Head
	switch {
	case key == "layout":
		h.Layout = f
	case key == "tuning":
		h.Tuning = f
	case key == "style":
		h.Style = f
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

func (p *reader) keyLeftOut(f tree.Field) {
	p.Add(diag.Note, diag.HeaderRest, f.Span, "", "Key: is left out, because Harp: says which harp to play.")
}

func (p *reader) readTitle(f tree.Field) {
	title := strings.TrimSpace(p.Text[f.Span.Start:f.Span.End])
	if n := utf8.RuneCountInString(title); n > p.opt.Limits.TitleLength {
		p.Add(diag.Error, diag.TitleTooLong, f.Span, "Shorten it.", fmt.Sprintf("A title has at most %d characters, and this one has %d.", p.opt.Limits.TitleLength, n))
		return
	}
	p.Head.Title = title
}

func (p *reader) readTempo(f tree.Field, value Cells) {
	p.Head.Tempo = p.readNumber(f, value, beat.MinTempo, beat.MaxTempo, "Write a number of beats a minute, such as Tempo: 100.",
		fmt.Sprintf("A tempo is between %d and %d beats a minute.", beat.MinTempo, beat.MaxTempo))
}

func (p *reader) readSwing(f tree.Field, value Cells) {
	p.Head.Swing = p.readNumber(f, value, beat.MinSwing, beat.MaxSwing, "Write where the half of a beat falls, such as Swing: 0.6.",
		fmt.Sprintf("Swing is between %g (straight) and %g.", beat.MinSwing, beat.MaxSwing))
}

// readNumber reads the first number of a header; 0 where there is none that
// may be used.
func (p *reader) readNumber(f tree.Field, value Cells, least, most float64, hint, bounds string) float64 {
	at, text, found := p.firstFit(f, value, decimal, hint)
	if !found {
		return 0
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || x < least || x > most {
		p.Add(diag.Error, diag.HeaderRange, at, hint, bounds)
		return 0
	}
	p.checkRest(value, at, text)
	return x
}

func (p *reader) readMetre(f tree.Field, value Cells) {
	const hint = "Write the beats of a bar over 2, 4, 8 or 16, such as Metre: 4/4."
	at, text, found := p.firstFit(f, value, fraction, hint)
	if !found {
		return
	}
	m, ok := tree.ParseMetre(text)
	if !ok {
		p.Add(diag.Error, diag.HeaderRange, at, hint, fmt.Sprintf("There is no metre %s.", diag.Shorten(text)))
		return
	}
	p.checkRest(value, at, text)
	p.Head.Metre = m
}

// checkRest notes that a header holds more than the text that is read.
func (p *reader) checkRest(value Cells, at diag.Span, text string) {
	if at != value.Span(0, len(value)) {
		p.Add(diag.Note, diag.HeaderRest, at, "", fmt.Sprintf("Of %q only %s is read.", diag.Shorten(value.Text()), text))
	}
}

// firstFit finds the first value of a header that has the right form. Nothing
// that fits is a warning.
func (p *reader) firstFit(f tree.Field, value Cells, form *regexp.Regexp, hint string) (diag.Span, string, bool) {
	text := value.Text()
	m := form.FindStringIndex(text)
	if m == nil {
		p.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.HeaderUnread, Span: f.Span,
			Message: "“{word}” says nothing that can be used here, so it is left out.",
			Hint:    hint,
			Values:  diag.Values{diag.Text("word", text)},
			Edits:   func(e *diag.Editor) { e.RemoveLine().Keep() },
		})
		return diag.Span{}, "", false
	}
	from := utf8.RuneCountInString(text[:m[0]])
	end := from + utf8.RuneCountInString(text[m[0]:m[1]])
	return value.Span(from, end), text[m[0]:m[1]], true
}
