// Package notes makes notes of the items of a page: which holes sound on which
// breath, what brackets make of them, what holds hold, where slides go, and
// what repeats. It knows the items of one line at a time and no beats.
package notes

import (
	"fmt"
	"slices"

	"reedlark/tab/diag"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

// Row is a line that plays, or a section name between such lines.
type Row struct {
	Line   *scan.Line
	Items  []Item
	Times  int       // x2: how often the whole line plays; 0 for a section name
	Timed  diag.Span // of the x2
	Broken bool      // brackets or braces that do not fit together
	Doubt  bool      // something on it cannot be read: what follows from that is not reported
}

// Item is an item of the line, and what it means there.
type Item struct {
	*scan.Item
	Note    *tree.Note // nil where the number is no hole
	Role    tree.Role
	Match   int  // index of the other bracket or brace, -1 for none
	Held    int  // beats a hold adds, 0 where it holds nothing
	Rounds  int  // times a repeat sign plays
	Braced  bool // a hold in braces
	Stretch bool // a hold glued to a brace
}

// Sounding reports whether the item is a note or a rest with time of its own.
func (it *Item) Sounding() bool {
	return it.Role != tree.Grace && (it.Kind == scan.Rest || it.Kind == scan.Note)
}

// Sounds reports whether a note or a rest is on the row.
func (r *Row) Sounds() bool {
	return slices.ContainsFunc(r.Items, func(it Item) bool { return it.Sounding() })
}

// reader reads one row after another.
type reader struct {
	*diag.Reporter
	convention tree.Convention
	limits     tree.Limits
	played     bool // a note or a rest is on the rows read so far
}

// Read makes rows of the lines of a page that play.
func Read(r *diag.Reporter, page *scan.Page, limits tree.Limits) []*Row {
	p := &reader{Reporter: r, convention: page.Convention, limits: limits}
	var rows []*Row
	for _, l := range page.Lines {
		switch l.Kind {
		case tree.TabLine:
			rows = append(rows, p.row(l))
		case tree.SectionLine:
			rows = append(rows, &Row{Line: l, Items: itemsOf(l.Items)})
		}
	}
	p.checkDashes(rows)
	return rows
}

// Silent is a row of rests, bar lines and repeats, such as chords make where
// nothing else plays.
func Silent(r *diag.Reporter, l *scan.Line, items []scan.Item, limits tree.Limits) *Row {
	p := &reader{Reporter: r, limits: limits}
	row := &Row{Line: l, Items: itemsOf(items), Times: 1}
	p.settleTimes(row)
	return row
}

// row reads a line of tab.
func (p *reader) row(l *scan.Line) *Row {
	r := &Row{Line: l, Items: itemsOf(l.Items), Times: 1, Doubt: l.Doubt}
	p.readNotes(r)
	p.checkNamed(r)
	p.checkAdjacent(r)
	p.pair(r)
	p.settleBrackets(r)
	p.settleHolds(r)
	p.settleSlides(r)
	p.settleTimes(r)
	p.played = p.played || r.Sounds()
	return r
}

func itemsOf(items []scan.Item) []Item {
	out := make([]Item, len(items))
	for i := range items {
		out[i] = Item{Item: &items[i], Match: -1}
		if items[i].Kind == scan.Hold {
			out[i].Held = items[i].N
		}
	}
	return out
}

// checkNamed warns of a name with nothing but a bare number after it above all
// that plays, as in Position: 2.
func (p *reader) checkNamed(r *Row) {
	if p.played || r.Line.Named[1] == 0 || len(r.Items) != 2 || r.Items[1].Kind != scan.Note || !r.Items[1].Written.Plain() {
		return
	}
	at := r.Line.Cells.Span(r.Line.Named[0], r.Items[1].To)
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.TwoReadings, Span: at,
		Message: fmt.Sprintf("“%s” is read as a name and a note to play.", p.Quote(at)),
		Hint:    "Write text: before it if it is not to be played.",
		Values:  diag.Values{diag.Text("word", p.Quote(at))},
		Edits:   func(e *diag.Editor) { e.HeadLine("text:") },
	})
}
