package unfold

import (
	"fmt"

	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// claim is what hold marks or braces of a counted row say of a note. The
// counts win; a claim they contradict is a warning.
type claim struct {
	it    *item
	beats beat.Time
	at    diag.Span // of the hold mark or the brace
}

// claim keeps what the hold marks and braces of a row say, and takes them out
// of the reckoning.
func (c *counter) claim(r *row) {
	c.claimHolds(r)
	c.claimBraces(r)
	for i := range r.items {
		it := &r.items[i]
		it.swung = false
		if it.Kind == scan.Hold {
			it.beats = beat.Time{}
		}
	}
}

// claimHolds keeps the length of every note that has hold marks.
func (c *counter) claimHolds(r *row) {
	var of *item
	open := -1
	for i := range r.items {
		it := &r.items[i]
		switch {
		case it.Sounding():
			of, open = it, -1
		case it.Kind != scan.Hold || it.beats.Sign() == 0 || of == nil:
		case open < 0:
			open = len(c.claims)
			c.claims = append(c.claims, claim{of, of.beats.Plus(it.beats), it.Span})
		default:
			c.claims[open].beats = c.claims[open].beats.Plus(it.beats)
		}
	}
}

// claimBraces keeps the length of every note in braces but the last, which
// may sound on.
func (c *counter) claimBraces(r *row) {
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
				c.claims = append(c.claims, claim{before, before.beats, r.items[i].Span})
			}
			before = it
		}
		i = r.items[i].Match
	}
}

func held(it item) bool { return it.Kind == scan.Hold }

// check compares the claims with the counts, and reports each place once.
func (c *counter) check() {
	said := map[diag.Span]bool{}
	for _, k := range c.claims {
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
