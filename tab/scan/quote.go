package scan

import (
	"slices"
	"unicode"

	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// quotedBlock is how many lines in a row that begin with > make a quotation,
// whatever is on them.
const quotedBlock = 3

// unquote finds the quotation marks of mail, and the bullets of lists, that head
// lines, and lets the lines begin behind them.
func (p *reader) unquote() {
	for i := 0; i < len(p.Lines); i++ {
		from := i
		for i < len(p.Lines) && p.Lines[i].quotes() > 0 {
			i++
		}
		if block := p.Lines[from:min(i, len(p.Lines))]; isQuotation(block) {
			p.quoted = append(p.quoted, block...)
		}
	}
	for _, l := range p.quoted {
		l.Body = l.quotes()
	}
	p.findBullets()
}

// quotes is the cell after the > signs that head a line; 0 for none. An arrow
// (->) is a slide.
func (l *Line) quotes() int {
	end := 0
	for i := l.At(); i < len(l.Cells) && (l.Cells[i].R == '>' || l.Cells[i].R == Blank); i++ {
		if l.Cells[i].R == '>' {
			end = i + 1
		}
	}
	return end
}

// isQuotation reports whether lines headed by > are a quotation: many of them, or
// words among them.
func isQuotation(block []*Line) bool {
	for _, l := range block {
		if l.Cells[l.quotes():].wordy() {
			return true
		}
	}
	return len(block) >= quotedBlock
}

// wordy reports whether a line has a word of three letters or more on it and no
// number that stands alone: it is certainly not tab.
func (c Cells) wordy() bool {
	letters, longest := 0, 0
	for _, x := range c {
		if unicode.IsLetter(x.R) || unicode.IsMark(x.R) {
			letters++
			longest = max(longest, letters)
		} else {
			letters = 0
		}
	}
	const aWord = 3
	return longest >= aWord
}

// checkQuoted says once that quotation marks before tab are not slides.
func (p *reader) checkQuoted() {
	quoted := slices.DeleteFunc(slices.Clone(p.quoted), func(l *Line) bool { return l.Kind != tree.TabLine })
	if len(quoted) == 0 {
		return
	}
	var spans []diag.Span
	for _, l := range quoted {
		spans = append(spans, l.Cells.Span(l.At(), l.quotes())) // Body may have moved since
	}
	p.Report(diag.Problem{
		Severity: diag.Note, Code: diag.Quoted, Span: spans[0],
		Message: "The > at the head of lines is read as quotation, not as a slide.",
		Edits: func(e *diag.Editor) {
			var changes []diag.Change
			for _, at := range spans {
				changes = append(changes, diag.Change{Span: at, Text: "->"})
			}
			e.Offer("Write -> where it is a slide", changes...).ForPage()
		},
	})
}

// findBullets finds the signs that head the entries of a list. A dash is one
// only where it also heads lines of words, since it may hold a note.
func (p *reader) findBullets() {
	var dashed []*Line
	dashes := false
	for _, l := range p.Lines {
		at := l.Cells.SkipBlanks(l.Body)
		if at+1 >= len(l.Cells) || l.Cells[at+1].R != Blank {
			continue
		}
		switch l.Cells[at].R {
		case '•', '◦', '▪', '‣', '*':
			l.Body = at + 1
		case '-':
			dashed = append(dashed, l)
			dashes = dashes || l.Cells[at+1:].wordy() && !l.Cells[at+1:].hasDigit()
		}
	}
	if !dashes {
		return
	}
	for _, l := range dashed {
		l.Body = l.Cells.SkipBlanks(l.Body) + 1
	}
}

// hasDigit reports whether a digit is among the cells.
func (c Cells) hasDigit() bool {
	for _, x := range c {
		if IsDigit(x.R) {
			return true
		}
	}
	return false
}
