package unfold

import (
	"fmt"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// override is what hold marks or braces of a counted row say of a note. The
// counts win; what they contradict is a warning.
type override struct {
	it    *item
	beats beat.Time
	at    diag.Span // of the hold mark or the brace
}

// overridden keeps what the hold marks and braces of a row say, and takes their time away.
func (c *counter) overridden(r *row) {
	c.overrideHolds(r)
	c.overrideBraces(r)
	for i := range r.items {
		it := &r.items[i]
		it.swung = false
		if it.Kind == scan.Hold {
			it.beats = beat.Time{}
		}
	}
}

// overrideHolds keeps the length of every note that has hold marks.
func (c *counter) overrideHolds(r *row) {
	var of *item
	open := -1
	for i := range r.items {
		it := &r.items[i]
		switch {
		case it.Sounding():
			of, open = it, -1
		case it.Kind != scan.Hold || it.beats.Sign() == 0 || of == nil:
		case open < 0:
			open = len(c.overrides)
			c.overrides = append(c.overrides, override{of, of.beats.Plus(it.beats), it.Span})
		default:
			c.overrides[open].beats = c.overrides[open].beats.Plus(it.beats)
		}
	}
}

// overrideBraces keeps the length of every note in braces but the last, which
// may sound on.
func (c *counter) overrideBraces(r *row) {
	if r.Broken {
		return
	}
	for i := 0; i < len(r.items); i++ {
		if r.items[i].Kind != scan.OpenBrace {
			continue
		}
		var before *item
		for k := i + 1; k < r.items[i].Match; k++ {
			it := &r.items[k]
			if !it.Sounding() {
				continue
			}
			if before != nil && !held(r.items[k-1]) {
				c.overrides = append(c.overrides, override{before, before.beats, r.items[i].Span})
			}
			before = it
		}
		i = r.items[i].Match
	}
}

func held(it item) bool { return it.Kind == scan.Hold }

// check compares the overrides with the counts, and reports each place once.
func (c *counter) check() {
	said := map[diag.Span]bool{}
	for _, k := range c.overrides {
		if k.it.beats == k.beats || said[k.at] {
			continue
		}
		said[k.at] = true
		c.Add(diag.Warning, diag.CountContradicted, k.at, "Change one of them.", fmt.Sprintf("This says %s, the counts say %s; the counts win.", beatsInWords(k.beats), beatsInWords(k.it.beats)))
	}
}

// beatsInWords is a length as a person says it.
func beatsInWords(x beat.Time) string {
	if x == wholeBeat {
		return "1 beat"
	}
	return x.String() + " beats"
}
