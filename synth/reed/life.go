package reed

import "reedlark/synth/dsp"

// Life is how the breath behind a note moves, by itself and as the player means
// it. All tones of one breath share it. A nil Life is a breath that does not move.
//
// What moves by itself is noise from hashes of the seed and the time, in two
// layers: a drift of about a cycle a second, and a flutter of up to 9. It is
// computed at nodes, multiples of Grid frames, and moves in straight lines between
// them.
type Life struct {
	Seed   uint64  // of the breath
	Grid   int64   // frames between two nodes, a multiple of Segment
	Rate   float64 // frames a second
	Effort float64 // dB by which the note is blown harder than its table says
	Swell  Swell
}

// Swell is how a long note grows to its highest level and falls from there.
type Swell struct {
	Rise, Fall float64 // dB under the highest level at the start and at the end
	Seconds    float64 // of the note
}

// swellTop is where a swell is highest, as a part of the note. by ear.
const swellTop = 0.4

// at is the level, dB, 0 at the top.
func (s Swell) at(t float64) float64 {
	if s.Seconds <= 0 {
		return 0
	}
	x := t/s.Seconds - swellTop
	if x < 0 {
		return -s.Rise * square(x/swellTop)
	}
	return -s.Fall * square(min(x/(1-swellTop), 1))
}

// LifeGrid is the number of frames between two nodes at a rate: about 22 ms, so
// that 9 cycles a second are followed, and a power of two, so that blocks begin at
// nodes.
func LifeGrid(rate int) int64 {
	if rate <= 32000 {
		return 512
	}
	return 1024
}

// How far the breath moves, and how quickly, seconds from one hash to the next.
// ref: of blown reeds, recorded, the medians are 0.7 to 6 cents and 0.4 to 0.7 dB;
// a free reed is steadier. by ear: the amounts within that.
const (
	driftKnot, flutterKnot   = 0.45, 0.060
	driftDB, flutterDB       = 0.72, 0.78
	driftCents, flutterCents = 0.85, 0.90
)

// move is how far the breath has moved: the level, dB, and the pitch, cents.
type move struct{ db, cents float64 }

// at is the move at a frame: a straight line between its two nodes.
func (l *Life) at(frame int64) move {
	k := frame / l.Grid
	a := l.node(k)
	into := frame - k*l.Grid
	if into == 0 {
		return a
	}
	b, x := l.node(k+1), float64(into)/float64(l.Grid)
	return move{a.db + float64((b.db-a.db)*x), a.cents + float64((b.cents-a.cents)*x)}
}

// node is the move at a multiple of Grid. The drift is the difference of two
// hashes in a row, so that over a second it hardly changes the mean.
func (l *Life) node(k int64) move {
	t := float64(k*l.Grid) / l.Rate
	i, x := knot(t / driftKnot)
	a, b, c := l.hash(0, i-1), l.hash(0, i), l.hash(0, i+1)
	j, y := knot(t / flutterKnot)
	d, e := l.hash(1, j), l.hash(1, j+1)
	return move{
		db: float64(driftDB*between(b.db-a.db, c.db-b.db, x)) +
			float64(flutterDB*between(d.db, e.db, y)),
		cents: float64(driftCents*between(b.cents-a.cents, c.cents-b.cents, x)) +
			float64(flutterCents*between(d.cents, e.cents, y)),
	}
}

// hash is two even numbers from -1 to 1.
func (l *Life) hash(layer uint64, k int64) move {
	bits := dsp.Hash(l.Seed, uint64(k)<<1|layer)
	const scale = 1.0 / (1 << 31)
	return move{float64(float64(int32(bits>>32)) * scale), float64(float64(int32(bits)) * scale)}
}

// knot is the knot before a time in knots, and how far it lies back.
func knot(x float64) (int64, float64) {
	x = float64(x) // a product stays one, also where this is inlined
	k := int64(x)
	return k, x - float64(k)
}

// between is a smooth way from a to b.
func between(a, b, x float64) float64 { return a + float64((b-a)*dsp.Smooth(x)) }

// effort is how hard the breath blows at a frame, t seconds after the note
// began, dB.
func (l *Life) effort(m move, t float64) float64 { return l.Effort + m.db + l.Swell.at(t) }
