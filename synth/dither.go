package synth

import (
	"sync"

	"reedlark/synth/dsp"
)

// unit is the last bit of a sample of 16 bits before it is rounded: there are
// so many steps of dither to it.
const (
	unitBits = 12
	unit     = 1 << unitBits
)

// Dither is read out of a round of noise. Every cell of frames enters the
// round at a place its number and its channel's decide, so that the dither of
// a frame depends on the two alone, and nothing comes round again.
const (
	ditherCell  = 128
	ditherRound = 1 << 14
)

// ditherNoise is the round, and its beginning once more: the difference of two
// even numbers under a unit, with the half unit that rounding needs.
var ditherNoise = sync.OnceValue(func() []int32 {
	out := make([]int32, ditherRound+ditherCell)
	for i := range out {
		bits := dsp.Hash(uint64(i%ditherRound), 0)
		out[i] = int32(bits%unit) - int32(bits>>32%unit) + unit/2
	}
	return out
})

// ditherAt is the dither of a channel from a frame to the end of its cell.
func ditherAt(at int64, channel int) []int32 {
	into := int(at % ditherCell)
	place := int(dsp.Hash(uint64(at/ditherCell), uint64(channel)) % ditherRound)
	return ditherNoise()[place+into : place+ditherCell]
}
