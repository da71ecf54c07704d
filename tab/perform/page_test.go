package perform

import (
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/score"
)

// page builds a document of one line and the piece it unfolds to, without a
// parser: each word is written down where its note says it stands.
type page struct {
	text  strings.Builder
	piece tab.Piece
	doc   tab.Document
	fresh bool // a phrase begins with the next event
}

func newPage() *page {
	return &page{piece: tab.Piece{Beats: new(big.Rat), Pickup: new(big.Rat)}, fresh: true}
}

// write puts a word on the page and gives its place.
func (p *page) write(word string) diag.Span {
	if p.text.Len() > 0 {
		p.text.WriteByte(' ')
	}
	start := p.text.Len()
	p.text.WriteString(word)
	return diag.Span{Start: start, End: p.text.Len()}
}

// as changes an event before it is added.
type as func(*tab.Event)

func bent(by int) as     { return func(e *tab.Event) { e.Note.Bend = by } }
func over() as           { return func(e *tab.Event) { e.Note.Over = true } }
func shake() as          { return func(e *tab.Event) { e.Note.Shake = true } }
func swung() as          { return func(e *tab.Event) { e.Swung = true } }
func comma() as          { return func(e *tab.Event) { e.NewPhrase, e.Breath = true, true } }
func role(r tab.Role) as { return func(e *tab.Event) { e.Role = r } }

// note adds a note of so many beats, a rational number as text.
func (p *page) note(word string, breath tab.Breath, holes []int, beats string, how ...as) *tab.Note {
	at := p.write(word)
	n := &tab.Note{Span: at, Text: word, Line: 1, Breath: breath, Holes: holes}
	p.event(tab.Event{Note: n, Span: at}, beats, how...)
	return n
}

func (p *page) blow(hole int, beats string, how ...as) *tab.Note {
	return p.note("+"+string(rune('0'+hole%10)), tab.Blow, []int{hole}, beats, how...)
}

func (p *page) draw(hole int, beats string, how ...as) *tab.Note {
	return p.note("-"+string(rune('0'+hole%10)), tab.Draw, []int{hole}, beats, how...)
}

func (p *page) grace(breath tab.Breath, hole int) *tab.Note {
	return p.note("(g)", breath, []int{hole}, "0", role(tab.Grace))
}

func (p *page) rest(beats string) {
	p.event(tab.Event{Span: p.write("r")}, beats)
	p.fresh = true
}

func (p *page) event(e tab.Event, beats string, how ...as) {
	e.Line, e.Role, e.Start, e.Beats = 1, tab.Melody, p.piece.Beats, rat(beats)
	e.NewPhrase, p.fresh = p.fresh, false
	for _, change := range how {
		change(&e)
	}
	p.piece.Beats = new(big.Rat).Add(p.piece.Beats, e.Beats)
	p.piece.Events = append(p.piece.Events, e)
}

// slide writes an arrow that leads on from a note.
func (p *page) slide(from *tab.Note) { at := p.write("->"); from.SlideTo = &at }

// metre sets the metre, with bars from so many beats on.
func (p *page) metre(beats, unit int, pickup string) {
	p.doc.Metre = tab.Metre{Beats: beats, Unit: unit}
	p.piece.Pickup = rat(pickup)
	for bar := rat(pickup); bar.Cmp(p.piece.Beats) < 0; bar = new(big.Rat).Add(bar, big.NewRat(int64(beats), 1)) {
		p.piece.Bars = append(p.piece.Bars, bar)
	}
}

func (p *page) play(s Settings) (*score.Score, diag.List) {
	text := p.text.String()
	p.doc.Source = diag.NewSource(text)
	p.doc.Lines = []tab.Line{{Number: 1, Kind: tab.TabLine, Span: diag.Span{End: len(text)}, Text: text}}
	return play(&p.doc, &p.piece, s.filled(p.doc.Head))
}

// sounds plays a page that must have nothing wrong with it.
func (p *page) sounds(t testing.TB, s Settings) *score.Score {
	t.Helper()
	sc, problems := p.play(s)
	require.Empty(t, problems)
	return sc
}

func rat(s string) *big.Rat {
	x, ok := new(big.Rat).SetString(s)
	if !ok {
		panic(s)
	}
	return x
}
