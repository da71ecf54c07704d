package scan

import (
	"fmt"
	"slices"

	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// readLines classifies every line, as far as possible before the convention of
// the page is known.
func (p *reader) readLines(spans []diag.Span) {
	if n := len(spans); n > 1 && spans[n-1].Start == spans[n-1].End {
		spans = spans[:n-1]
	}
	var room []Item
	p.Lines = make([]*Line, 0, len(spans))
	for i, span := range spans {
		p.Lines = append(p.Lines, &Line{Number: i + 1, Span: span, Cells: normalise(p.Text, span).withoutTags()})
	}
	p.unquote()
	p.findDirections()
	p.numberLines()
	for _, l := range p.Lines {
		l.markWords()
		room = l.classify(room)
	}
}

// numbering finds a number at the head of a line that counts up from 1 over
// the page or is alone on its line. It is given the last number and returns the next.
// A line forced to be text takes part in the counting.
func (l *Line) numbering(last int) int {
	from := l.Body
	key, body := readKey(l.Cells, from)
	if key == "text" {
		from = body
	}
	n, end := readListed(l.Cells, from)
	counts := end > 0 && n == last+1
	alone := end > 0 && l.Cells.SkipBlanks(end) == len(l.Cells)
	if from == l.Body && (counts || alone) {
		l.Listed, l.Body = end, end
	}
	if counts {
		return n
	}
	return last
}

// classify finds the kind of a line by its head or, where it has none, by its
// words. It reuses the room of other items and returns it.
func (l *Line) classify(room []Item) []Item {
	l.Kind = tree.TextLine
	switch {
	case l.blank() || l.Cells.SkipBlanks(l.Body) == len(l.Cells) || isRuled(l.Cells):
		return room
	case l.Cells[l.Cells.SkipBlanks(l.Body)].R == '#':
		l.Kind = tree.CommentLine
		return room
	case l.directs():
		l.readDirections()
		return room
	}
	key, body := readKey(l.Cells, l.Body)
	if key != "" {
		l.key, l.Body, l.Kind = key, body, keys[key]
	}
	switch {
	case l.Kind == tree.TabLine:
		room = l.lex(room, l.Body)
	case l.Kind == tree.TextLine && l.key != "text":
		room = l.vote(room)
	}
	return room
}

// lex reads the items from a cell on, before the convention is known. A line
// that fills the room keeps it.
func (l *Line) lex(room []Item, from int) []Item {
	room = slices.Grow(room[:0], len(l.Cells)/2+1)
	room = lex(room, nil, l, from, dialect{convention: tree.Auto})
	l.first = tight(room)
	if filled(room) {
		return nil
	}
	return room
}

// vote decides between tab, text and a section name.
func (l *Line) vote(room []Item) []Item {
	from, end := readName(l.Cells, l.Body)
	start := max(l.Body, end)
	room = l.lex(room, start)
	l.votes = tally(l.first, l.Cells)
	switch {
	case !l.votes.isTab() || len(l.first) == 0 || end > 0 && l.labels(from, end):
	case isLoneNumber(l.first, l.Cells) || l.isSection():
		l.Kind = tree.SectionLine
	case l.votes.plays:
		l.Kind = tree.TabLine
		l.Named, l.Body = [2]int{from, end}, start
	}
	return room
}

// isSection reports whether a line has a section name on it and nothing that plays.
func (l *Line) isSection() bool {
	for _, it := range l.first {
		if it.Kind != Name && it.Kind != Remark && it.Kind != Times {
			return false
		}
	}
	return l.first[0].Kind == Name
}

// checkLines reports what was odd about the way the lines were told apart,
// once the kinds are settled.
func (p *reader) checkLines() {
	p.checkListed()
	p.checkQuoted()
	for i, l := range p.Lines {
		if l.Kind == tree.TextLine && l.key == "" && !l.blank() && (i == 0 || p.Lines[i-1].Kind != tree.TabLine) {
			p.checkRepeats(l.Cells.Span(0, len(l.Cells)))
		}
		if p.opt.Chords && l.Kind == tree.TextLine && l.key == "" && l.votes.chord && l.votes.chordsOnly && i+1 < len(p.Lines) && p.Lines[i+1].Kind == tree.TabLine {
			p.checkChords(l)
		}
		switch {
		case l.late:
			p.Report(diag.Problem{
				Severity: diag.Warning, Code: diag.HeaderLate, Span: l.Cells.Span(l.At(), l.Body),
				Message: fmt.Sprintf("%s: is a header only above the first line of tab, so here it is read as words.", l.key),
				Hint:    "Move it above the first line of tab.",
				Values:  diag.Values{diag.Text("word", l.key)},
				Edits:   func(e *diag.Editor) { e.MoveToHeaders(); e.HeadLine("text:").Keep() },
			})
		case l.Kind == tree.TextLine && l.key == "":
			p.checkText(l)
		}
		if l.Kind == tree.SectionLine || l.Kind == tree.TextLine && l.key == "" {
			p.checkTimes(l)
		}
		if l.Kind == tree.SectionLine {
			p.checkRemarks(l.first)
		}
	}
}

// checkText warns where a line of words could have been meant as tab.
func (p *reader) checkText(l *Line) {
	v := l.votes
	if len(l.first) > 0 && v.others == 0 && !v.plays {
		p.checkRemarks(l.first)
	}
	if v.others == 0 || l.headed > 0 || l.foreign() || !v.likeTab() {
		return
	}
	word := p.Text[v.first.Start:v.first.End]
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.ReadAsWords, Span: v.first,
		Message: fmt.Sprintf("This line is read as words, because %s is no note.", diag.Shorten(word)),
		Hint:    "Write tab: at the head of the line if it is to be played.",
		Values:  diag.Values{diag.Text("word", word)},
		Edits:   func(e *diag.Editor) { e.HeadLine("text:").Keep() },
	})
}

// checkTimes warns of an x2 on a line that does not play.
func (p *reader) checkTimes(l *Line) {
	for _, it := range l.first {
		if it.Kind == Times {
			p.Report(diag.Problem{
				Severity: diag.Warning, Code: diag.RepeatsNothing, Span: it.Span,
				Message: fmt.Sprintf("%s repeats nothing on a line that is not played.", p.Text[it.Span.Start:it.Span.End]),
				Hint:    "Put it at the end of a line of tab.",
				Values:  diag.Values{diag.Text("word", p.Quote(it.Span))},
				Edits:   func(e *diag.Editor) { e.TakeOut().Keep() },
			})
		}
	}
}

// checkRemarks notes that words in round brackets are kept but not played.
func (p *reader) checkRemarks(items []Item) {
	for i := range items {
		it := &items[i]
		if it.Kind != Remark || p.wordOfPlaying(it) || p.checkRepeats(it.Span) {
			continue
		}
		p.Add(diag.Note, diag.Remark, it.Span, "", fmt.Sprintf("%s is a remark: it is kept, and not played.", p.Quote(it.Span)))
	}
}

// checkChords says of a row of chord symbols above tab that it is not played; a
// backing was asked for.
func (p *reader) checkChords(l *Line) {
	p.Report(diag.Problem{
		Severity: diag.Note, Code: diag.ChordsUnmarked, Span: l.Cells.Span(l.At(), l.At()+len(l.Cells.Trimmed())),
		Message: "This row looks like chords; it is read as words, and nobody plays it.",
		Hint:    "Write chords: before it, and a bar line between the chords of two bars.",
		Edits:   func(e *diag.Editor) { e.HeadLine("chords:") },
	})
}
