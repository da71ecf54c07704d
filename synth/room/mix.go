package room

import "slices"

// Mid writes the middle sum of len(dst) frames of bus from frame at on, which
// must have Reach frames before it.
func (r Room) Mid(dst, bus []float32, at int) {
	onto := bus[at:][:len(dst)]
	if r.Dry() {
		copy(dst, onto)
	}
	for _, f := range r.mid {
		f.add(dst, onto, bus, at)
		onto = dst
	}
}

// Side writes the side sum.
func (r Room) Side(dst, bus []float32, at int) {
	clear(dst)
	for _, f := range r.side {
		f.add(dst, dst, bus, at)
	}
}

// five taps go through a processor at a time; more do not fit its registers.
type five struct {
	delay [5]int
	gain  [5]float32
}

// fives takes one gain of every reflection.
func fives(reflections []Tap, gain func(Tap) float32) []five {
	var out []five
	for taps := range slices.Chunk(reflections, 5) {
		var f five
		for i, t := range taps {
			f.delay[i], f.gain[i] = t.Delay, gain(t)
		}
		out = append(out, f)
	}
	return out
}

// add writes the sum of what there is already and the five.
func (f *five) add(dst, onto, bus []float32, at int) {
	n := len(dst)
	onto = onto[:n]
	from := func(i int) []float32 { return bus[at-f.delay[i]:][:n] }
	a, b, c, d, e := from(0), from(1), from(2), from(3), from(4)
	ga, gb, gc, gd, ge := f.gain[0], f.gain[1], f.gain[2], f.gain[3], f.gain[4]
	for i := range dst {
		x := float32(ga*a[i]) + float32(gb*b[i])
		y := float32(gc*c[i]) + float32(gd*d[i])
		dst[i] = onto[i] + (x + y + float32(ge*e[i]))
	}
}
