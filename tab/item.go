package tab

import (
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// kind is what a thing on a line of tab is.
type kind uint8

const (
	noteItem    kind = iota
	restItem         // r
	holdItem         // n beats of hold marks in one run
	breathItem       // ,
	barItem          // | or ||; n counts the strokes
	openRepeat       // |:
	closeRepeat      // :|, n times round
	timesItem        // x2
	slideItem        // ->
	openBracket      // ( or [
	closeBracket
	openBrace // {
	closeBrace
	nameItem   // [Chorus], or the word before a colon at the head of a line
	remarkItem // (softly)
	junkItem   // what nobody can read
)

// item is one thing on a line of tab, in the order written.
type item struct {
	kind    kind
	role    Role
	glued   bool // nothing stands between it and the item before
	grouped bool // in brackets that hold notes
	braced  bool // a hold in braces
	stretch bool // a hold glued to a brace
	swung   bool // begins on a half that swing moves

	from, to int // its cells
	span     diag.Span
	line     int // from 1
	n        int // beats of a hold, strokes of a bar, times of x2 or :|
	match    int // index of the other bracket or brace, -1 for none

	word    int32     // which word of the line it belongs to
	written written   // of a note
	note    *Note     // nil where the number is no hole
	beats   beat.Time // time it takes; 0 for none
	extra   *extra    // nil for most
}

// extra is what only items of a page with counts or chords have.
type extra struct {
	gap    beat.Time // silence before it; 0 for none
	chords []change  // that sound while it lasts
}

// gap is the silence before the item.
func (it *item) gap() beat.Time {
	if it.extra == nil {
		return beat.Time{}
	}
	return it.extra.gap
}

// own is what the item has of its own besides.
func (it *item) own() *extra {
	if it.extra == nil {
		it.extra = &extra{}
	}
	return it.extra
}

// sounding says the item is a note or a rest with time of its own.
func (it *item) sounding() bool {
	return it.role != Grace && (it.kind == restItem || it.kind == noteItem)
}

// row is a line that plays: a line of tab, or a section name between them.
type row struct {
	*sheet
	items  []item
	counts *sheet    // its count row, nil for none
	times  int       // x2: how often the whole line plays
	timed  diag.Span // of the x2
	broken bool      // brackets or braces that do not fit together
	doubt  bool      // something on it cannot be read: what follows from that is not reported
}

// sounds says that a note or a rest is on the row.
func (r *row) sounds() bool {
	return slices.ContainsFunc(r.items, func(it item) bool { return it.sounding() })
}
