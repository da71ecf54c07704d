package arrange

import (
	"slices"
	"sort"
	"strings"

	"reedlark/tab/beat"
	"reedlark/tab/chord"
	"reedlark/tab/melody"
)

// movedChords are chord symbols moved by semitones; what is no chord stays.
func movedChords(chords []melody.Chord, by int) []melody.Chord {
	out := make([]melody.Chord, len(chords))
	for i, c := range chords {
		if parsed, err := chord.Parse(c.Symbol); err == nil {
			c.Symbol = parsed.Moved(by).Symbol
		}
		out[i] = c
	}
	return out
}

// dropChords leaves out the symbols that tab does not read, and names them.
func (p *piece) dropChords(t *melody.Tune) {
	var kept []melody.Chord
	var dropped []string
	for _, c := range t.Chords {
		if _, err := chord.Parse(c.Symbol); err == nil {
			kept = append(kept, c)
		} else if !slices.Contains(dropped, c.Symbol) {
			dropped = append(dropped, c.Symbol)
		}
	}
	t.Chords = kept
	if n := len(dropped); n > 0 {
		p.say("left out as no chord symbol: %s", strings.Join(dropped[:min(n, mostNamed)], ", "))
	}
}

// mostNamed is how many of a kind a remark names.
const mostNamed = 8

// silence is the chord of a place without one.
const silence = "N.C."

// mostSlots is the most parts a bar of chords is cut into; a chord that lies
// finer than that is moved to the part before.
const mostSlots = 32

// chords writes the chords of a row: a chord for each part of a bar, a stroke
// where the one before goes on.
func (w *writer) chords(row []bar) string {
	var bars []string
	for i := range row {
		bar := w.chordBar(&row[i])
		if bar == silence && w.chord == "" && len(row) > 1 && row[i].of == w.bars[0].of && row[i].length.Less(beat.Whole(w.metre.Beats)) {
			continue // a pick-up may go without a chord
		}
		bars = append(bars, bar)
	}
	return strings.Join(bars, " | ")
}

func (w *writer) chordBar(b *bar) string {
	from := b.of.At
	changes := w.during(from, from.Plus(b.length.Times(4).Over(w.unit)))
	share := b.length
	for _, c := range changes {
		if at := w.beats(c.At.Minus(from)); at.Sign() > 0 {
			share = common(share, at)
		}
	}
	slots := shares(b.length, share)
	if slots > mostSlots {
		slots, share = b.length.Floor(), beat.Whole(1)
	}
	words := make([]string, slots)
	for i := range words {
		words[i] = "/"
	}
	if words[0] = silence; w.chord != "" {
		words[0] = w.chord
	}
	for _, c := range changes {
		w.chord = c.Symbol
		words[min(shares(w.beats(c.At.Minus(from)), share), slots-1)] = c.Symbol
	}
	return strings.Join(words, " ")
}

// during are the chords that begin in a stretch of time.
func (w *writer) during(from, to beat.Time) []melody.Chord {
	first := sort.Search(len(w.tune.Chords), func(i int) bool { return !w.tune.Chords[i].At.Less(from) })
	end := sort.Search(len(w.tune.Chords), func(i int) bool { return !w.tune.Chords[i].At.Less(to) })
	return w.tune.Chords[first:max(first, end)]
}
