package perform

import (
	"cmp"
	"strings"

	"reedlark/tab"
	"reedlark/tab/band"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
)

// chooseHarp takes the caller's harp, else the page's, else one in C. What the
// page says is judged in any case.
func (p *player) chooseHarp() harp.Harp {
	key := p.pageKey()
	named := p.doc.Head.Harp.Value != "" && !p.problems.Has(diag.Warning)
	p.written = key
	layout, tuning := p.pageLayout(), p.pageTuning()
	if p.set.Harp != nil {
		key = *p.set.Harp
	}
	if !named {
		p.written = key
	}
	if p.set.Layout != nil {
		layout = *p.set.Layout
	}
	if p.set.Tuning != "" {
		tuning = p.set.Tuning
	}
	h, err := harp.New(key, layout, tuning, p.set.A4)
	if err != nil {
		p.problems.Add(diag.Error, diag.HarpUnknown, diag.Span{}, "", err.Error())
	}
	return h
}

// pageKey is the harp the page asks for.
func (p *player) pageKey() harp.Key {
	field := p.doc.Head.Harp
	if field.InWords {
		return p.keyInWords(field)
	}
	if p.doc.Head.IsKey {
		return p.songKey(field)
	}
	return readField(p, field, diag.HarpUnknown, harp.ParseKey, harp.Key{})
}

// songKey reads a `Key:` header, which may mean the key of the song: only what
// is a harp and nothing more is taken for one.
func (p *player) songKey(field tab.Field) harp.Key {
	name := strings.TrimSuffix(strings.ToLower(strings.TrimSpace(field.Value)), " harp")
	key, err := harp.ParseKey(name)
	if err != nil {
		p.problems.Add(diag.Warning, diag.KeyNotRead, field.Span, "Harp: C",
			"This says more than the key of a harp, so it is not read; write which harp it is in a line of its own.")
		return harp.Key{}
	}
	p.problems.Report(diag.Problem{
		Severity: diag.Note, Code: diag.KeyAsHarp, Span: field.Span,
		Message: "“Key:” is read as the key of the harp.",
		Hint:    "Harp: {harp}",
		Values:  diag.Values{diag.Text("harp", key.String())},
		Edits: func(e *diag.Editor) {
			e.Offer("Write Harp: "+key.String(), diag.Change{Span: field.Line, Text: "Harp: " + key.String()}).Keep()
		},
	})
	return key
}

// keyInWords reads a harp, or the key of a song, that the page names in its own
// words. A key in a position gives the harp; a key alone is taken for the harp's.
func (p *player) keyInWords(field tab.Field) harp.Key {
	key, err := harp.ParseKey(field.Value)
	if err != nil {
		return harp.Key{}
	}
	position := p.doc.Head.Position
	song := p.doc.Head.IsKey
	if song && position > 1 {
		key = key.HarpFor(position)
	}
	p.problems.Report(diag.Problem{
		Severity: diag.Note, Code: diag.HeaderInWords, Span: field.Span,
		Message: "This is read as {header}.", Values: diag.Values{diag.Text("header", "Harp: "+key.String())},
		Edits: func(e *diag.Editor) {
			e.Header("Harp: " + key.String()).Keep()
			if song && position == 0 {
				second := key.HarpFor(2).String()
				e.Header("Harp: " + second).Label = "The song is in " + key.String() + ", played on the " + second + " harp in second position"
			}
		},
	})
	return key
}

// pageLayout is the layout the page asks for.
func (p *player) pageLayout() harp.Layout {
	richter, _ := harp.LayoutByName(harp.Layouts()[0])
	return readField(p, p.doc.Head.Layout, diag.HarpUnknown, func(s string) (harp.Layout, error) { return harp.LayoutByName(dashed(s)) }, richter)
}

// chooseStyle takes the caller's style, else the page's, and with it the swing where
// neither says how much.
func (p *player) chooseStyle() {
	page := readField(p, p.doc.Head.Style, diag.HeaderUnread, func(s string) (band.Style, error) { return band.ParseStyle(dashed(s)) }, "")
	p.set.Style = cmp.Or(p.set.Style, page)
	p.set.Swing = cmp.Or(p.set.Swing, styleSwing(p.set.Style), DefaultSwing)
}

// pageTuning is the tuning the page asks for.
func (p *player) pageTuning() harp.Tuning {
	return readField(p, p.doc.Head.Tuning, diag.HarpUnknown, func(s string) (harp.Tuning, error) { return harp.ParseTuning(dashed(s)) }, harp.Equal)
}

// dashed turns "Natural minor" into the name it has, "natural-minor".
func dashed(s string) string { return strings.ReplaceAll(strings.ToLower(s), " ", "-") }

// readField reads the first one or two words of a header's value that parse,
// says when there is more, and warns when nothing does.
func readField[T any](p *player, field tab.Field, unread diag.Code, parse func(string) (T, error), usual T) T {
	words := strings.Fields(field.Value)
	if len(words) == 0 {
		return usual
	}
	for i := range words {
		for _, n := range []int{2, 1} {
			value, err := parse(phrase(words[i:min(i+n, len(words))]))
			if err != nil {
				continue
			}
			if n < len(words) {
				p.problems.Add(diag.Note, diag.HeaderRest, field.Span, "", "Only “"+phrase(words[i:min(i+n, len(words))])+"” is read here; the rest is left alone.")
			}
			return value
		}
	}
	_, err := parse(strings.Join(words, " "))
	p.problems.Add(diag.Warning, unread, field.Span, "", "This line is not read: "+err.Error()+".")
	return usual
}

// phrase joins words and drops the punctuation around them.
func phrase(words []string) string { return strings.Trim(strings.Join(words, " "), ",;.:()") }
