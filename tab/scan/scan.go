// Package scan reads a page of tab as characters, lines and items. It decides
// which lines are tab and how the page tells blow from draw, and knows neither
// holes nor beats.
//
// It takes two passes. In the first, characters become [Cells], which know the
// bytes they were typed as; each line is cut into items and its words vote
// whether it is tab (lines, vote); then the notes of the page vote for its
// convention, and the headers are read (convention, header). A page that writes
// its notes in a way of its own is respelled in letters first, each cell keeping
// the bytes it was typed as (census, legend, dialect, respell, columns). In the second,
// every line that plays is cut into its final items, now that the dialect is
// known (lex, note, bracket).
package scan

import (
	"slices"

	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// Page is a page cut into lines and items.
type Page struct {
	Lines      []*Line
	Convention tree.Convention // the one its lines are spelled in, never Auto
	Dialect    tree.Dialect    // as typed
	Respelled  bool            // it is written in another way than signs, letters and arrows
	Head       tree.Head
	Metre      tree.Metre // in force: the caller's, else the page's, else none
	Headers    int        // the offset at which a new header line goes in
}

// reader is a page being read.
type reader struct {
	*diag.Reporter
	Page
	opt       tree.Options
	dialect   dialect
	answers   *answers    // nil on a page without a hole
	bareBlown bool        // bare numbers are known to be blown, on a page of letters or arrows
	unread    []diag.Span // what looks like a legend and is none
	quoted    []*Line     // lines headed by the > of mail
}

// Read reads a page whose lines have these spans. The limits of the options are
// filled in.
func Read(r *diag.Reporter, spans []diag.Span, o tree.Options) *Page {
	p := &reader{Reporter: r, opt: o}
	p.readLines(spans)
	p.settleDialect()
	p.settleConvention()
	p.demote()
	p.dropPageNumbers()
	p.findSyllables()
	p.findCounts()
	p.readHeaders()
	p.findEndings()
	p.findAgain()
	p.checkLines()
	p.checkMixed()
	for _, l := range p.Lines {
		switch l.Kind {
		case tree.TabLine:
			p.readItems(l)
		case tree.SectionLine:
			if l.Items != nil { // directions
				continue
			}
			l.Items = []Item{l.name(l.At(), len(l.Cells))}
			l.Items[0].Span = l.Span
		}
	}
	p.checkBytes()
	p.Headers = p.headersAt()
	return &p.Page
}

// headersAt is where a new header line goes in: below the headers and a title
// at the top of the page, and above the first row.
func (p *reader) headersAt() int {
	at := p.Lines[0].Span.Start
	titled := false
	for i, l := range p.Lines {
		text := l.Kind == tree.TextLine && !l.blank()
		switch {
		case l.plays():
			return at
		case l.Kind == tree.HeaderLine || text && !titled && i+1 < len(p.Lines) && p.Lines[i+1].blank():
			at = p.lineAfter(i)
		}
		titled = titled || text
	}
	return at
}

// plays reports whether a line belongs to the rows of the page.
func (l *Line) plays() bool {
	return l.Kind != tree.TextLine && l.Kind != tree.HeaderLine && l.Kind != tree.CommentLine
}

// lineAfter is the offset at which the line after another begins.
func (p *reader) lineAfter(i int) int {
	if i+1 < len(p.Lines) {
		return p.Lines[i+1].Span.Start
	}
	return len(p.Text)
}

// name is a section name as an item.
func (l *Line) name(from, to int) Item {
	return Item{Kind: Name, From: from, To: to, Span: l.Cells.Span(from, to), Line: l.Number}
}

// readItems cuts a line of tab into items, now that the dialect is known.
func (p *reader) readItems(l *Line) {
	items := tight(lex(l.first, wordsIn(l.first), l, l.Body, p.dialect))
	l.first = nil
	if l.Named[1] > 0 {
		items = slices.Insert(items, 0, l.name(l.Named[0], l.Named[1]))
	}
	if l.Joined != nil {
		l.place(items)
	}
	l.Items = items
	nameAtHead(items)
	partAtSlashes(items)
	p.wordsAtEnds(items, l.Cells)
	p.checkWords(items)
	p.checkJunk(l)
	p.checkBare(items)
	p.checkRemarks(items)
}

// tight is items that stay, without room for many more.
func tight(items []Item) []Item {
	if filled(items) {
		return items
	}
	return slices.Clone(items)
}

// filled reports whether there is not room for many more.
func filled(items []Item) bool { return cap(items) <= len(items)*5/4 }

// nameAtHead lets words in square brackets be a section name only where they
// head the line; elsewhere they are a remark.
func nameAtHead(items []Item) {
	head := true
	for i := range items {
		it := &items[i]
		if it.Kind == Name && !head {
			it.Kind = Remark
		}
		head = head && it.Kind == Name
	}
}

// checkBytes reports the first byte of the page that is not text.
func (p *reader) checkBytes() {
	for _, l := range p.Lines {
		for _, c := range l.Cells {
			if c.R == badByte {
				p.Add(diag.Error, diag.InvalidUTF8, c.Span(), "Save the page as UTF-8.", "A byte here is no character of UTF-8 text.")
				return
			}
		}
	}
}

// checkJunk reports what cannot be read on a line of tab.
func (p *reader) checkJunk(l *Line) {
	for i := range l.Items {
		it := &l.Items[i]
		if it.Kind != Junk {
			continue
		}
		l.Doubt = true
		if l.Cells[it.From:it.To].ReportControl(p.Reporter) {
			continue
		}
		at := it.Span
		p.Report(diag.Problem{
			Severity: diag.Error, Code: diag.UnknownWord, Span: at,
			Message: "“{word}” is not a note, and not anything else that can be played.",
			Hint:    "Take it out, put it in round brackets, or write text: at the head of the line if these are words.",
			Values:  diag.Values{diag.Text("word", p.Quote(at))},
			Edits: func(e *diag.Editor) {
				if !it.grouped {
					e.Offer("Keep it as a remark", diag.Change{Span: at, Text: "(" + e.Text(at) + ")"})
				}
				e.TakeOut()
				e.HeadLine("text:")
			},
		})
	}
}
