package musicxml

import (
	"fmt"
	"slices"
	"strings"
)

// fold writes what the page repeats as a repeat, with two endings where the end
// is another the second time. Measures that come from the same notes of the page
// are one. What no simple repeat says stays written out.
func (w *writer) fold() {
	f := &folder{measures: w.measures, order: w.written(), signs: map[int]*sign{}, lastClose: -1}
	if len(w.Piece.Metres) > 0 || !f.fold() {
		return
	}
	w.measures = f.kept
	for i, s := range f.signs {
		s.put(w.measures[i])
	}
	for i, m := range w.measures {
		m.Number = i + 1
	}
}

// written is, for each measure, the first of those written alike, counted without
// the others.
func (w *writer) written() []int {
	known := map[string]int{}
	out := make([]int, len(w.measures))
	for i, m := range w.measures {
		key := m.key()
		if _, found := known[key]; !found {
			known[key] = len(known)
		}
		out[i] = known[key]
	}
	return out
}

// key tells measures apart that do not come from the same place of the page.
func (m *measure) key() string {
	var b strings.Builder
	for _, n := range m.Notes {
		fmt.Fprintf(&b, "%d %s %s %v %v,", n.source, n.length, n.Type, n.Grace != nil, n.Ties)
	}
	return b.String()
}

// folder finds the repeats of a tune.
type folder struct {
	measures  []*measure // as they are played
	order     []int      // which they are of those that differ
	at        int
	kept      []*measure
	signs     map[int]*sign // by the measure that is kept
	lastClose int           // the last measure of the repeats so far
}

// sign is what stands at the bar lines of a measure.
type sign struct {
	open       bool
	close      int // times it is played; 0 for no sign
	begin, end int // the number of the ending that begins or ends; 0 for none
}

func (f *folder) sign(i int) *sign {
	if f.signs[i] == nil {
		f.signs[i] = &sign{}
	}
	return f.signs[i]
}

// fold goes through the measures as they are played; false where it cannot.
func (f *folder) fold() bool {
	for f.at < len(f.order) {
		if f.order[f.at] == len(f.kept) {
			f.keep()
			continue
		}
		if !f.back(f.order[f.at], len(f.kept)-1) {
			return false
		}
	}
	for i := range f.signs {
		if f.kept[i].ties("stop", 0) || f.kept[i].ties("start", len(f.kept[i].Notes)-1) {
			return false
		}
	}
	return len(f.signs) > 0
}

// ties reports whether a note of a measure is tied.
func (m *measure) ties(end string, note int) bool {
	return note >= 0 && note < len(m.Notes) && slices.Contains(m.Notes[note].Ties, typed{end})
}

func (f *folder) keep() {
	f.kept = append(f.kept, f.measures[f.at])
	f.at++
}

// mostRounds is the most times that one repeat is played.
const mostRounds = 16

// back folds the measures from first to last that are played again from here on.
func (f *folder) back(first, last int) bool {
	if f.order[f.at-1] != last || first <= f.lastClose {
		return false
	}
	same, ok := f.again(first, last)
	if !ok {
		return false
	}
	f.sign(first).open = true
	if first+same > last {
		rounds := 2
		for rounds < mostRounds && f.at < len(f.order) && f.order[f.at] == first {
			if same, ok := f.again(first, last); !ok || first+same <= last {
				return false
			}
			rounds++
		}
		f.sign(last).close, f.lastClose = rounds, last
		return true
	}
	if f.at == len(f.order) || f.order[f.at] != len(f.kept) {
		return false
	}
	f.sign(first + same).begin = 1
	f.sign(last).end, f.sign(last).close = 1, 2
	f.sign(last+1).begin, f.sign(last+1).end = 2, 2
	f.lastClose = last + 1
	f.keep()
	return true
}

// again passes over measures that are played once more, and says how many; ok is
// false where their chords are others.
func (f *folder) again(first, last int) (same int, ok bool) {
	for ; f.at < len(f.order) && first+same <= last && f.order[f.at] == first+same; same++ {
		for _, h := range f.measures[f.at].Harmonies {
			if !slices.ContainsFunc(f.kept[first+same].Harmonies, func(k harmony) bool { return k.key() == h.key() }) {
				return same, false
			}
		}
		f.at++
	}
	return same, true
}

func (h harmony) key() string {
	offset := ""
	if h.Offset != nil {
		offset = *h.Offset
	}
	return fmt.Sprint(h.Root.Step.Step, h.Root.Alter, h.Kind, h.Bass != nil && h.Bass.Step != "", offset)
}

// put writes the signs of a measure.
func (s *sign) put(m *measure) {
	if s.open || s.begin > 0 {
		m.Left = &leftLine{Location: "left"}
	}
	if s.open {
		m.Left.Style, m.Left.Repeat = "heavy-light", &repeatSign{Direction: "forward"}
	}
	if s.begin > 0 {
		m.Left.Ending = &ending{s.begin, "start"}
	}
	if s.close > 0 || s.end > 0 {
		m.Barline = &barline{Location: "right"}
	}
	if s.end > 0 {
		m.Barline.Ending = &ending{s.end, "stop"}
	}
	if s.close > 0 {
		m.Barline.Style, m.Barline.Repeat = "light-heavy", &repeatSign{Direction: "backward"}
	}
	if s.close > 2 {
		m.Barline.Repeat.Times = s.close
	}
}
