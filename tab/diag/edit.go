package diag

import (
	"cmp"
	"slices"
	"strings"
)

// Change replaces the text of a span; a span of no length inserts.
type Change struct {
	Span  Span   `json:"-"`
	Place        // the same in characters; filled in when the problem is placed
	Text  string `json:"text"`
}

// Edit is one thing to do about a problem. Its changes are in ascending order,
// do not overlap, and at least one of them changes the text: an [Editor] makes
// no other.
type Edit struct {
	Label      string   `json:"label"`      // what it does, for a button: "Write 4 4"
	Keeps      bool     `json:"keeps"`      // the page sounds as it did, or what could not be read now can
	Everywhere bool     `json:"everywhere"` // it answers every problem of this code on the page
	Changes    []Change `json:"changes"`

	all string // label of the edit that does the same at every place; "" for none
}

// Keep says that the page sounds the same after the edit. Edits of an error
// keep by themselves, since there was no sound before.
func (e *Edit) Keep() *Edit {
	e.Keeps = true
	return e
}

// All says that the first edits of all problems of this code can be made
// together, as one edit with this label.
func (e *Edit) All(label string) *Edit {
	e.all = label
	return e
}

// ForPage says that the edit, such as a header, answers the question for the
// whole page.
func (e *Edit) ForPage() *Edit {
	e.Everywhere = true
	return e
}

// Editor builds the edits of one problem. Each method offers one edit and
// returns it, so that it can be qualified: e.Write("-4").Keep(). An edit that
// would change nothing is not offered.
type Editor struct {
	At     Span // where the problem is
	source *Source
	keeps  bool
	edits  []*Edit
}

// Offer is an edit of any changes, in any order. It is dropped where they
// overlap, leave the page, or change nothing.
func (e *Editor) Offer(label string, changes ...Change) *Edit {
	edit := &Edit{Label: label, Keeps: e.keeps}
	for _, c := range changes {
		if c.Span != e.source.clip(c.Span) {
			return edit
		}
		if e.Text(c.Span) != c.Text {
			edit.Changes = append(edit.Changes, c)
		}
	}
	slices.SortStableFunc(edit.Changes, inOrder)
	if len(edit.Changes) > 0 && !overlap(edit.Changes) && e.source.changed(edit.Changes) {
		e.edits = append(e.edits, edit)
	}
	return edit
}

// inOrder compares two changes by where they are; what is inserted before a span
// comes before what replaces it.
func inOrder(a, b Change) int {
	return cmp.Or(a.Span.Start-b.Span.Start, a.Span.End-b.Span.End)
}

// overlap reports whether two of some changes, in order, meet.
func overlap(changes []Change) bool {
	for i := 1; i < len(changes); i++ {
		a, b := changes[i-1].Span, changes[i].Span
		if b.Start < a.End || a == b {
			return true
		}
	}
	return false
}

// changed reports whether changes, in order, make another text: moving a line to
// where it is makes none.
func (s *Source) changed(changes []Change) bool {
	from, to := changes[0].Span.Start, changes[len(changes)-1].Span.End
	return splice(s.text, from, to, changes) != s.text[from:to]
}

// splice is the text between two offsets with changes made, in order.
func splice(text string, from, to int, changes []Change) string {
	var b strings.Builder
	for _, c := range changes {
		b.WriteString(text[from:c.Span.Start] + c.Text)
		from = c.Span.End
	}
	return b.String() + text[from:to]
}

// Text is what a span of the page holds.
func (e *Editor) Text(at Span) string {
	at = e.source.clip(at)
	return e.source.text[at.Start:at.End]
}

// Line is the line the problem begins on, without its line end.
func (e *Editor) Line() Span { return e.source.line(e.source.lineAt(e.At.Start)) }

// Write replaces what the problem spans.
func (e *Editor) Write(text string) *Edit {
	return e.Offer("Write "+Shorten(text), Change{Span: e.At, Text: text})
}

// TakeOut removes what the problem spans, with the blank it would leave behind.
func (e *Editor) TakeOut() *Edit { return e.Remove("Take it out", e.At) }

// Remove takes a span out, with the blank it would leave behind: one of the two
// around it, or all that trail.
func (e *Editor) Remove(label string, at Span) *Edit {
	line := e.source.line(e.source.lineAt(at.Start))
	before, after := e.Text(Span{line.Start, at.Start}), e.Text(Span{at.End, max(line.End, at.End)})
	switch {
	case strings.TrimSpace(after) == "":
		at.Start -= len(before) - len(strings.TrimRight(before, " \t"))
	case (before == "" || strings.HasSuffix(before, " ")) && (after[0] == ' ' || after[0] == '\t'):
		at.End++
	}
	return e.Offer(label, Change{Span: at})
}

// HeadLine puts a word and a blank before everything on the line: "tab:".
func (e *Editor) HeadLine(word string) *Edit {
	at := e.Line().Start
	return e.Offer("Write "+word+" before the line", Change{Span: Span{at, at}, Text: word + " "})
}

// EndLine puts a blank and a word behind everything on the line: "x2".
func (e *Editor) EndLine(word string) *Edit {
	at := e.Line().End
	return e.Offer("Write "+word+" at the end of the line", Change{Span: Span{at, at}, Text: " " + word})
}

// RemoveLine takes the whole line out.
func (e *Editor) RemoveLine() *Edit { return e.Offer("Take the line out", Change{Span: e.whole()}) }

// whole is the line of the problem with its line end, or with the one before
// where it is the last.
func (e *Editor) whole() Span {
	at := e.Line()
	if i := e.source.lineAt(e.At.Start); i+1 < len(e.source.starts) {
		at.End = e.source.starts[i+1]
	} else if i > 0 {
		at.Start = e.source.line(i - 1).End
	}
	return at
}

// Header writes a header line, such as "Draw: 4-", where headers belong.
func (e *Editor) Header(line string) *Edit {
	return e.Offer("Write "+Shorten(line), e.header(line))
}

// Headers writes several header lines.
func (e *Editor) Headers(lines ...string) *Edit {
	return e.Offer("Write "+strings.Join(lines, " and "), e.header(strings.Join(lines, e.source.newline())))
}

func (e *Editor) header(line string) Change {
	at, newline := e.source.Headers, e.source.newline()
	text := line + newline
	if at == len(e.source.text) && at > e.source.starts[len(e.source.starts)-1] {
		text = newline + line
	}
	return Change{Span: Span{at, at}, Text: text}
}

// MoveToHeaders moves the whole line to where headers belong.
func (e *Editor) MoveToHeaders() *Edit {
	return e.Offer("Move the line to the top", e.header(e.Text(e.Line())), Change{Span: e.whole()})
}

// Apply makes edits, the first come first: an edit that meets an earlier one
// is left out whole. It returns the new text and how many edits it made. It
// takes time linear in the text and the changes.
func Apply(text string, edits ...Edit) (string, int) {
	taken := make([]bool, 2*len(text)+1) // byte i at 2i+1, the gap before it at 2i
	var changes []Change
	made := 0
	for _, e := range edits {
		if !claim(taken, e.Changes) {
			continue
		}
		changes = append(changes, e.Changes...)
		made++
	}
	slices.SortStableFunc(changes, inOrder)
	return splice(text, 0, len(text), changes), made
}

// claim takes the bytes of changes, and the gaps between them; false, taking
// none, where one is taken already or not there.
func claim(taken []bool, changes []Change) bool {
	for _, c := range changes {
		from, to := cells(c.Span)
		if from < 0 || to > len(taken) || from > to || slices.Contains(taken[from:to], true) {
			return false
		}
	}
	for _, c := range changes {
		for i, to := cells(c.Span); i < to; i++ {
			taken[i] = true
		}
	}
	return len(changes) > 0
}

// cells are what a span takes: its bytes and the gaps inside, or its one gap.
func cells(at Span) (from, to int) {
	if at.Start == at.End {
		return 2 * at.Start, 2*at.Start + 1
	}
	return 2*at.Start + 1, 2 * at.End
}
