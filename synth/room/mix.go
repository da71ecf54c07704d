package room

// Mid writes the middle sum of len(dst) frames of bus from frame at on, which
// must have Reach frames before it.
func (r Room) Mid(dst, bus []float32, at int) {
	copy(dst, bus[at:])
	r.reflect(dst, bus, at, func(t Tap) float32 { return t.Mid })
}

// Side writes the side sum.
func (r Room) Side(dst, bus []float32, at int) {
	clear(dst)
	r.reflect(dst, bus, at, func(t Tap) float32 { return t.Side })
}

// reflect adds the reflections, five at a time.
func (r Room) reflect(dst, bus []float32, at int, gain func(Tap) float32) {
	for taps := r.Taps[1:]; len(taps) >= 5; taps = taps[5:] {
		var from [5][]float32
		var gains [5]float32
		for i := range from {
			from[i] = bus[at-taps[i].Delay:]
			gains[i] = gain(taps[i])
		}
		addFive(dst, from, gains)
	}
}

func addFive(dst []float32, from [5][]float32, gain [5]float32) {
	n := len(dst)
	a, b, c, d, e := from[0][:n], from[1][:n], from[2][:n], from[3][:n], from[4][:n]
	ga, gb, gc, gd, ge := gain[0], gain[1], gain[2], gain[3], gain[4]
	for i := range dst {
		x := float32(ga*a[i]) + float32(gb*b[i])
		y := float32(gc*c[i]) + float32(gd*d[i])
		dst[i] += x + y + float32(ge*e[i])
	}
}
