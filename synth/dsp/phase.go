package dsp

// Turn is one turn of a uint32 phase.
const Turn = 1 << 32

// Step is the phase a frequency (Hz) advances by in one frame, to the nearest
// of 2^32 parts of a turn: at 48 kHz that is 0.00001 Hz.
func Step(hz, rate float64) uint32 { return uint32(int64(float64(hz/rate*Turn) + 0.5)) }

// Advance is the phase after n frames whose step begins at step and grows by
// slope each frame.
func Advance(phase, step, slope uint32, n int) uint32 {
	k := uint32(uint64(n) * uint64(n-1) / 2)
	return phase + uint32(n)*step + k*slope
}

// Slope is the growth of a step from a to b over n frames, a whole number.
func Slope(a, b uint32, n int) uint32 { return uint32(int32(b-a) / int32(n)) }
