package abc

import (
	"strings"

	"reedlark/tab/melody"
)

// accents are letters with accents as ABC writes them. ref: 2.1, section 8.2.
var accents = newAccents()

func newAccents() *strings.Replacer {
	table := []struct{ mark, plain, accented string }{
		{"`", "AEIOUaeiou", "ÀÈÌÒÙàèìòù"},
		{"'", "AEIOUYaeiouyc", "ÁÉÍÓÚÝáéíóúýć"},
		{"^", "AEIOUaeiou", "ÂÊÎÔÛâêîôû"},
		{"~", "ANOano", "ÃÑÕãñõ"},
		{"\"", "AEIOUYaeiouy", "ÄËÏÖÜŸäëïöüÿ"},
		{"c", "Cc", "Çç"},
		{"v", "CSZcsz", "ČŠŽčšž"},
	}
	var pairs []string
	for _, row := range table {
		for i, r := range []rune(row.accented) {
			pairs = append(pairs, "\\"+row.mark+row.plain[i:i+1], string(r))
		}
	}
	return strings.NewReplacer(append(pairs, "\\AA", "Å", "\\aa", "å", "\\AE", "Æ", "\\ae", "æ", "\\O", "Ø", "\\o", "ø", "\\ss", "ß", "\\%", "%", "\\&", "&", "&amp;", "&")...)
}

// quoted reads "…": a chord symbol, or words that stand somewhere, which are
// passed over.
func (l *line) quoted() {
	end := strings.IndexByte(l.text[l.i+1:], '"')
	if end < 0 {
		l.remark("a quotation mark is never closed")
		l.i++
		return
	}
	text := l.text[l.i+1 : l.i+1+end]
	l.i += end + 2
	if text == "" || strings.IndexByte("^_<>@", text[0]) >= 0 {
		return
	}
	v := l.v()
	symbol, _, _ := strings.Cut(text, "(") // another chord for those who like it better
	if symbol = strings.TrimSpace(symbol); symbol != "" {
		v.tune.Chords = append(v.tune.Chords, melody.Chord{At: v.at, Symbol: symbol})
	}
}

// decoration reads !trill! or, in older files, +trill+.
func (l *line) decoration(mark byte) {
	end := strings.IndexByte(l.text[l.i+1:], mark)
	if end < 0 || strings.ContainsAny(l.text[l.i+1:l.i+1+end], "|[]") {
		l.i++ // a line break of older files
		return
	}
	l.decorate(l.text[l.i+1 : l.i+1+end])
	l.i += end + 2
}

// decorate obeys the decorations that say where the playing goes on.
func (l *line) decorate(name string) {
	v := l.v()
	b := v.bar()
	switch strings.ToLower(strings.NewReplacer(".", "", " ", "").Replace(name)) {
	case "segno":
		b.Segno = true
	case "coda":
		b.Coda = true
	case "fine":
		v.closing().Fine = true
	case "dacapo", "dc":
		v.closing().Jump = melody.Jump{From: melody.DaCapo}
	case "dacoda":
		v.closing().ToCoda = true
	case "ds":
		v.closing().Jump = melody.Jump{From: melody.DalSegno}
	case "dcalfine":
		v.closing().Jump = melody.Jump{From: melody.DaCapo, Until: melody.AlFine}
	case "dsalfine":
		v.closing().Jump = melody.Jump{From: melody.DalSegno, Until: melody.AlFine}
	case "dcalcoda":
		v.closing().Jump = melody.Jump{From: melody.DaCapo, Until: melody.AlCoda}
	case "dsalcoda":
		v.closing().Jump = melody.Jump{From: melody.DalSegno, Until: melody.AlCoda}
	case "breath":
		if n := len(v.tune.Notes); n > 0 {
			v.tune.Notes[n-1].Breath = true
		}
	}
}

// closing is the bar that a sign at the end of a bar belongs to: the one before,
// where nothing stands in the open one yet.
func (v *voice) closing() *melody.Bar {
	if n := len(v.tune.Bars); n > 1 && v.bar().At == v.at {
		return &v.tune.Bars[n-2]
	}
	return v.bar()
}
