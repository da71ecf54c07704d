package reed

// Segment is the grain of time, in frames: controls are reckoned at its absolute
// multiples and move in straight lines between them.
const Segment = 64

// Tables gives the table of a timbre by its number in the tune, and the noise.
type Tables interface {
	Table(number int32) *Table
	Hiss() []float32
}

// Part is what sounds between two frames. It holds no state: whoever plays it
// carries a phase along, 0 at the first frame. Playing or advancing a stretch
// in one go or in pieces, cut anywhere at multiples of Segment, gives the same
// bits.
type Part interface {
	// Span is the first frame and the one after the last.
	Span() (from, to int64)
	// Advance is the phase at frame `to` of a part that had phase at `at`.
	Advance(phase uint32, at, to int64) uint32
	// Play adds len(out) frames from frame at on, all within Span, and
	// returns the phase after them.
	Play(out []float32, phase uint32, at int64, tables Tables) uint32
}

// cut is the end of the stretch that starts at frame at: the next multiple of
// Segment, or end if that is sooner.
func cut(at, end int64) int64 { return min(at&^(Segment-1)+Segment, end) }
