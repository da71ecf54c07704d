package tab

import (
	"fmt"
	"slices"

	"reedlark/tab/diag"
)

// readLines says of every line what it is, as far as one can before the
// convention of the page is known.
func (p *page) readLines() {
	spans := p.Source.Lines()
	if n := len(spans); n > 1 && spans[n-1].Start == spans[n-1].End {
		spans = spans[:n-1]
	}
	listed := 0
	var room []item
	p.sheets = make([]*sheet, 0, len(spans))
	for i, span := range spans {
		s := &sheet{number: i + 1, span: span, cells: normalise(p.text, span)}
		p.sheets = append(p.sheets, s)
		listed = s.numbering(listed)
		room = s.classify(room)
	}
}

// numbering finds a number at the head of a line that counts up from 1 over
// the page or stands alone. It is given the last number and returns the next.
// A line forced to be text takes part in the counting.
func (s *sheet) numbering(last int) int {
	from := 0
	key, body := readKey(s.cells, 0)
	if key == "text" {
		from = body
	}
	n, end := readListed(s.cells, from)
	counts := end > 0 && n == last+1
	alone := end > 0 && skipBlanks(s.cells, end) == len(s.cells)
	if from == 0 && (counts || alone) {
		s.listed, s.body = end, end
	}
	if counts {
		return n
	}
	return last
}

// classify says what a line is by its head or, where nothing heads it, by its
// words. It reads in the room of other items, and hands that on.
func (s *sheet) classify(room []item) []item {
	s.kind = TextLine
	switch {
	case s.blank() || skipBlanks(s.cells, s.body) == len(s.cells) || isRuled(s.cells):
		return room
	case s.cells[s.at()].r == '#':
		s.kind = CommentLine
		return room
	}
	key, body := readKey(s.cells, s.body)
	if key != "" {
		s.key, s.body, s.kind = key, body, keys[key]
	}
	switch {
	case s.kind == TabLine:
		room = s.scan(room, s.body)
	case s.kind == TextLine && s.key != "text":
		room = s.vote(room)
	}
	return room
}

// scan reads the items from a cell on, before the convention is known. A line that
// fills the room keeps it.
func (s *sheet) scan(room []item, from int) []item {
	room = slices.Grow(room[:0], len(s.cells)/2+1)
	room = scan(room, nil, s.cells, from, s.number, dialect{convention: Auto})
	s.items = tight(room)
	if filled(room) {
		return nil
	}
	return room
}

// vote decides between tab, text and a section name.
func (s *sheet) vote(room []item) []item {
	from, end := readName(s.cells, s.body)
	start := max(s.body, end)
	room = s.scan(room, start)
	s.votes = tally(s.items, s.cells)
	switch {
	case !s.votes.isTab() || len(s.items) == 0:
	case isLoneNumber(s.items, s.cells) || s.isSection():
		s.kind = SectionLine
	case s.votes.plays:
		s.kind = TabLine
		s.named, s.body = [2]int{from, end}, start
	}
	return room
}

// isSection says a line has a section name on it and nothing that plays.
func (s *sheet) isSection() bool {
	for _, it := range s.items {
		if it.kind != nameItem && it.kind != remarkItem && it.kind != timesItem {
			return false
		}
	}
	return s.items[0].kind == nameItem
}

// aboutLines reports what was odd about the way the lines were told apart,
// once the kinds are settled.
func (p *page) aboutLines() {
	for _, s := range p.sheets {
		p.aboutListed(s)
		switch {
		case s.after:
			p.add(diag.Warning, diag.HeaderLate, spanOf(s.cells, s.at(), s.body), "Move it above the first line of tab.",
				fmt.Sprintf("%s: is a header only above the first line of tab, so here it is read as words.", s.key))
		case s.kind == TextLine && s.key == "":
			p.aboutText(s)
		}
		if s.kind == SectionLine || s.kind == TextLine && s.key == "" {
			p.aboutTimes(s)
		}
		if s.kind == SectionLine {
			p.aboutRemarks(s.items)
		}
	}
}

// aboutListed says that the numbering of a line is not played.
func (p *page) aboutListed(s *sheet) {
	plays := s.kind == TabLine || skipBlanks(s.cells, s.listed) == len(s.cells)
	if s.listed == 0 || !plays {
		return
	}
	at := spanOf(s.cells, s.at(), s.listed)
	p.add(diag.Warning, diag.Numbering, at, "Leave it out, or write tab: before it if it is a note.",
		fmt.Sprintf("%s is read as the number of a line, not as a note.", p.text[at.Start:at.End]))
}

// aboutText warns where a line of words could have been meant as tab.
func (p *page) aboutText(s *sheet) {
	v := s.votes
	if len(s.items) > 0 && v.others == 0 && !v.plays {
		p.aboutRemarks(s.items)
	}
	if v.others == 0 || s.foreign() || !v.likeTab() {
		return
	}
	word := p.text[v.first.Start:v.first.End]
	p.add(diag.Warning, diag.ReadAsWords, v.first, "Write tab: at the head of the line if it is to be played.",
		fmt.Sprintf("This line is read as words, because %s is no note.", shorten(word)))
}

// aboutTimes warns of an x2 on a line that does not play.
func (p *page) aboutTimes(s *sheet) {
	for _, it := range s.items {
		if it.kind == timesItem {
			p.add(diag.Warning, diag.RepeatsNothing, it.span, "Put it at the end of a line of tab.",
				fmt.Sprintf("%s repeats nothing on a line that is not played.", p.text[it.span.Start:it.span.End]))
		}
	}
}

// aboutRemarks says that words in round brackets are kept but not played.
func (p *page) aboutRemarks(items []item) {
	for _, it := range items {
		if it.kind == remarkItem {
			p.add(diag.Note, diag.Remark, it.span, "", fmt.Sprintf("%s is a remark: it is kept, and not played.", shorten(p.text[it.span.Start:it.span.End])))
		}
	}
}
