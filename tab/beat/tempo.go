package beat

// The tempos a tune may have, in beats a minute, and where swing may put the
// half of a beat: a half is even, three quarters is as far as it goes (common
// practice, no source).
const (
	MinTempo = 20
	MaxTempo = 400
	MinSwing = 0.5
	MaxSwing = 0.75
)
