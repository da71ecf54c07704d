package tab

import (
	"fmt"

	"reedlark/tab/diag"
	"reedlark/tab/notes"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
	"reedlark/tab/unfold"
)

// Document is a page, read. It can be unfolded into playing order and printed
// back in any convention.
type Document struct {
	Source     *diag.Source
	Convention Convention // the one found or forced, never Auto
	Dialect    Dialect    // how the page shows blow, draw, bends and overs
	Head       Head
	Metre      Metre // in force: the caller's, else the page's, else none
	Lines      []Line
	Problems   diag.List

	text      string
	respelled bool          // it is written in another way than signs, letters and arrows
	ofDialect []dialectLine // what printing makes of each line of a dialect; empty for a page without any such line
	unread    bool          // the page was refused whole
	rows      []*notes.Row
	piece     *Piece
}

// Parse reads a page. It never fails: what is wrong is in the problems of the
// document, and the rest of the page is read all the same.
func Parse(text string, o Options) *Document {
	o.Limits = o.Limits.Filled()
	if len(text) > o.Limits.Bytes {
		return refused(text, o)
	}
	d := &Document{text: text, Source: diag.NewSource(text)}
	r := &diag.Reporter{Text: text}
	page := scan.Read(r, d.spans(), o)
	d.Source.Headers = page.Headers
	d.Dialect, d.Head, d.Metre = page.Dialect, page.Head, page.Metre
	d.Convention = d.Dialect.Convention
	d.Lines = make([]Line, len(page.Lines))
	for i, l := range page.Lines {
		d.Lines[i] = Line{Number: l.Number, Kind: l.Kind, Span: l.Span, Text: text[l.Span.Start:l.Span.End]}
	}
	d.respelled = page.Respelled
	d.markDialect(page)
	d.rows = notes.Read(r, page, o.Limits)
	d.piece = unfold.Unfold(r, page, d.rows, o)
	d.Problems = r.List
	return d
}

// spans are those of the lines of the page; a line end at its very end begins
// no other.
func (d *Document) spans() []diag.Span {
	spans := d.Source.Lines()
	if n := len(spans); n > 1 && spans[n-1].Start == spans[n-1].End {
		return spans[:n-1]
	}
	return spans
}

// refused answers a page that is too long, unread.
func refused(text string, o Options) *Document {
	most := o.Limits.Bytes
	d := &Document{text: text, unread: true, Convention: Signs, Dialect: Dialect{Convention: Signs, Bracketed: tree.BracketedOptional, Because: tree.BecauseDefault}, Metre: o.Metre, Source: diag.NewSource(text[:most]), piece: &Piece{}}
	d.Problems.Add(diag.Error, diag.TextTooLong, diag.Span{Start: most, End: most}, "Cut the page in two.", "A page has at most "+bytesInWords(most)+".")
	return d
}

// Unfold is the page in playing order, repeats written out. It is bounded by
// the limits of the page, and empty where the page passes them. The piece and
// what it points to are shared between callers and are not to be changed.
func (d *Document) Unfold() *Piece { return d.piece }

// bytesInWords is a size as a person says it.
func bytesInWords(n int) string {
	if n%1024 == 0 {
		return fmt.Sprintf("%d KiB of text", n/1024)
	}
	return fmt.Sprintf("%d bytes of text", n)
}
