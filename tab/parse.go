package tab

import (
	"slices"

	"reedlark/tab/diag"
)

// page is a document being read.
type page struct {
	*Document
	opt     Options
	limits  Limits
	dialect dialect
	sheets  []*sheet
	played  bool // a note or a rest stands on the rows read so far
	chords  []*chordRow
}

// Parse reads a page. It never fails: what is wrong is in the problems of the
// document, and the rest of the page is read all the same.
func Parse(text string, o Options) *Document {
	p := &page{Document: &Document{text: text, Convention: Signs, Metre: o.Metre}, opt: o, limits: o.Limits.filled()}
	if len(text) > p.limits.Bytes {
		p.refuse()
		return p.Document
	}
	p.Source = diag.NewSource(text)
	p.readLines()
	p.settleConvention()
	p.demote()
	p.readHeaders()
	p.aboutLines()
	p.aboutMixed()
	p.readRows()
	p.readChordRows()
	p.arrange()
	p.measure()
	p.checkAll()
	return p.Document
}

// add reports a problem.
func (p *page) add(sev diag.Severity, code diag.Code, at diag.Span, hint, message string) {
	p.Problems.Add(sev, code, at, hint, message)
}

// readRows reads every line that plays.
func (p *page) readRows() {
	var above *row
	p.Lines = make([]Line, 0, len(p.sheets))
	for _, s := range p.sheets {
		switch s.kind {
		case TabLine:
			above = p.readRow(s)
			p.rows = append(p.rows, above)
		case SectionLine:
			p.rows = append(p.rows, sectionRow(s))
		case CountLine:
			p.attach(s, above)
		}
		p.Lines = append(p.Lines, Line{s.number, s.kind, s.span, p.text[s.span.Start:s.span.End]})
	}
}

// sectionRow is a line that is a section name, as a landmark between the rows.
func sectionRow(s *sheet) *row {
	name := item{kind: nameItem, from: s.at(), to: len(s.cells), span: s.span, line: s.number, match: -1}
	return &row{sheet: s, items: []item{name}}
}

// readRow reads a line of tab, now that the convention is known.
func (p *page) readRow(s *sheet) *row {
	items := scan(s.items, wordsIn(s.items), s.cells, s.body, s.number, p.dialect)
	r := &row{sheet: s, items: tight(items), times: 1}
	s.items = nil
	if s.named[1] > 0 {
		name := item{kind: nameItem, from: s.named[0], to: s.named[1], span: spanOf(s.cells, s.named[0], s.named[1]), line: s.number, match: -1}
		r.items = append([]item{name}, r.items...)
	}
	r.nameAtHead()
	p.aboutJunk(r)
	p.readNotes(r)
	p.aboutNamed(r)
	p.aboutGlue(r)
	p.aboutBare(r)
	p.aboutRemarks(r.items)
	p.pair(r)
	p.settleBrackets(r)
	p.settleHolds(r)
	p.settleSlides(r)
	p.settleTimes(r)
	p.played = p.played || r.sounds()
	return r
}

// tight is items that stay, without room for many more.
func tight(items []item) []item {
	if filled(items) {
		return items
	}
	return slices.Clone(items)
}

// filled says that there is not room for many more.
func filled(items []item) bool { return cap(items) <= len(items)*5/4 }

// nameAtHead lets words in square brackets be a section name only where they
// head the row; elsewhere they are a remark.
func (r *row) nameAtHead() {
	head := true
	for i := range r.items {
		it := &r.items[i]
		if it.kind == nameItem && !head {
			it.kind = remarkItem
		}
		head = head && it.kind == nameItem
	}
}

// checkAll looks at the page as a whole.
func (p *page) checkAll() {
	p.aboutDashes()
	p.checkLengths()
	p.checkBars()
	p.setChords()
	p.aboutBytes()
	p.piece = p.play()
	if !p.piece.sounds() && !p.Problems.Has(diag.Error) {
		p.aboutSilence()
	}
}

// aboutSilence reports that the page has no notes, unless its chords are to be
// played.
func (p *page) aboutSilence() {
	switch {
	case len(p.piece.Chords) == 0:
		p.add(diag.Error, diag.NothingToPlay, diag.Span{}, "Write a line of hole numbers, such as 4 -4 5.", "There is nothing to play on this page.")
	case !p.opt.Chords:
		p.add(diag.Error, diag.NothingToPlay, diag.Span{}, "Write a line of hole numbers, such as 4 -4 5, or ask for the chords to be played.", "There is nothing to play on this page but its chords.")
	}
}

// refuse answers a page that is too long, unread.
func (p *page) refuse() {
	p.Source = diag.NewSource(p.text[:p.limits.Bytes])
	p.unread = true
	p.piece = silence()
	at := diag.Span{Start: p.limits.Bytes, End: p.limits.Bytes}
	p.add(diag.Error, diag.TextTooLong, at, "Cut the page in two.", "A page has at most "+bytesInWords(p.limits.Bytes)+".")
}

// aboutBytes reports the first byte of the page that is no text.
func (p *page) aboutBytes() {
	for _, s := range p.sheets {
		for _, c := range s.cells {
			if c.r == badByte {
				p.add(diag.Error, diag.InvalidUTF8, c.span(), "Save the page as UTF-8.", "A byte here is no character of UTF-8 text.")
				return
			}
		}
	}
}

// aboutJunk reports what nobody can read on a line of tab.
func (p *page) aboutJunk(r *row) {
	for i := range r.items {
		it := &r.items[i]
		if it.kind != junkItem {
			continue
		}
		r.doubt = true
		if c, found := control(r.cells[it.from:it.to]); found {
			p.add(diag.Error, diag.ControlCharacter, c.span(), "Delete it.", sayControl(c.r))
			continue
		}
		word := p.text[it.span.Start:it.span.End]
		p.add(diag.Error, diag.UnknownWord, it.span, "Take it out, put it in round brackets, or write text: at the head of the line if these are words.", "“"+shorten(word)+"” is not a note, and not anything else that can be played.")
	}
}
