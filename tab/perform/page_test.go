package perform

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/beat"
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
	return &page{fresh: true}
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
	n := &tab.Note{Span: at, Text: word, Breath: breath, Holes: holes}
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
	p.piece.Beats = p.piece.Beats.Plus(e.Beats)
	p.piece.Events = append(p.piece.Events, e)
}

// slide writes an arrow that leads on from a note.
func (p *page) slide(from *tab.Note) { at := p.write("->"); from.SlideTo = &at }

// metre sets the metre, with bars from so many beats on.
func (p *page) metre(beats, unit int, pickup string) {
	p.doc.Metre = tab.Metre{Beats: beats, Unit: unit}
	p.piece.Pickup = rat(pickup)
	for bar := rat(pickup); bar.Less(p.piece.Beats); bar = bar.Plus(beat.Whole(beats)) {
		p.piece.Bars = append(p.piece.Bars, bar)
	}
}

func (p *page) play(s Settings) (*score.Score, diag.List) {
	text := p.text.String()
	p.doc.Source = diag.NewSource(text)
	p.doc.Lines = []tab.Line{{Number: 1, Kind: tab.TabLine, Span: diag.Span{End: len(text)}, Text: text}}
	return play(&p.doc, &p.piece, s.filled(p.doc.Head))
}

// sounds plays a page that must have nothing wrong with it; that it leaves no
// time to breathe may be noted.
func (p *page) sounds(t testing.TB, s Settings) *score.Score {
	t.Helper()
	sc, problems := p.play(s)
	for _, problem := range problems {
		require.Equal(t, diag.LongBreath, problem.Code)
	}
	return sc
}

func rat(s string) beat.Time {
	n, d := 0, 1
	if _, err := fmt.Sscanf(s+"/1", "%d/%d", &n, &d); err != nil {
		panic(s)
	}
	return beat.Whole(n).Over(d)
}

// holes lists hole and breath of each note, draws negative.
func holes(notes []score.Note) (out []int) {
	for _, n := range notes {
		hole := n.Voices[0].Hole
		if n.Voices[0].Breath == score.Draw {
			hole = -hole
		}
		out = append(out, hole)
	}
	return out
}

func roles(notes []score.Note) (out []score.Role) {
	for _, n := range notes {
		out = append(out, n.Role)
	}
	return out
}

func onsets(notes []score.Note) (out []score.Onset) {
	for _, n := range notes {
		out = append(out, n.Onset)
	}
	return out
}

// At 120 beats a minute a beat is half a second, so the third note of a tune
// in beats starts a second after the first, whatever lay between.
// Ten thousand thirds of a beat end where 3333 beats and a third do: nothing
// drifts.
// With the first half of the beat at 0.6, the second note starts at 0.6 beats
// and lasts 0.4; its written beats stay.
// A beat in two halves of which the second is halved again keeps its shape: the
// quarter lies in the middle of what the moved half leaves.
// A slide takes at most half of the note it leaves.
// The lowest hole of a chord leads, on the breath of the note left.
// hz is the MIDI Tuning Standard, at A4 = 440.
func hz(midi int) float64 { return 440 * math.Pow(2, float64(midi-69)/12) }

// A chord of which one hole goes on glides that hole, and is struck anew.
// A slide is as loud as the note it leaves, and what is not equally loud is not
// one sound.
// A slide from nowhere starts up to three holes below; at the very start the
// sound gets that much lead-in.
// Graces sound before the beat, on time from the note before or from silence.
// A slide to filler that is left out is left out with it; one to a grace that
// is left out goes on to its note.
// A player falls into a bent note from the unbent reed, well before 40 % of it.
// Beat one is the strongest, then the other beats, then what lies between.
func four() *page {
	p := newPage()
	p.blow(4, "1")
	p.draw(4, "1")
	p.blow(5, "2")
	p.blow(6, "1")
	return p
}

// Beats as a decimal number with the few digits a score shows.
// A piece of three lines, the second played again at the end: 2 3 2.
// A grace at the start of a later round is taken from the note before.
// A slide does not lead out of the part that is played.
// Half a beat of pick-up is counted in on the beats, not on the halves.
// A bar that comes sooner than a beat is over starts its own beats.
// Where nobody says what a bar is, a part that starts anywhere gets four beats.
