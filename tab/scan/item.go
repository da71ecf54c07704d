package scan

import "reedlark/tab/diag"

// Kind is what an item is.
type Kind uint8

// The kinds of item, with what N counts.
const (
	Note         Kind = iota
	Rest              // r
	Hold              // hold marks in one run; N beats
	Comma             // a breath
	Bar               // | or ||; N strokes
	OpenRepeat        // |:
	CloseRepeat       // :|
	Ending            // 1. behind a bar line; number N
	Times             // x2; N times
	Slide             // ->
	OpenBracket       // ( or [
	CloseBracket      // one more than what opens it
	OpenBrace         // {
	CloseBrace        // one more than what opens it
	Direction         // Fine, D.C. al Fine and the like; N says which
	Words             // kept, and not played
	PlayAgain         // a whole line such as “repeat chorus”
	Name              // [Chorus], or the word before a colon at the head of a line
	Remark            // (softly)
	Junk              // cannot be read
)

// Item is one word or sign on a line of tab, in the order written.
type Item struct {
	Kind     Kind
	Adjacent bool // nothing stands between it and the item before
	Below    bool // typed on the line below, which is read with this one
	grouped  bool // in brackets that hold notes
	word     int32
	From, To int // its cells
	Span     diag.Span
	Line     int     // from 1
	N        int     // what its kind counts
	Written  Written // of a note
}
