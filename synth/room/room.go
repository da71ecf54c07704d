// Package room puts a little space round a sound: early reflections, each the
// dry sound again, later and softer, with no feedback.
//
// Because nothing goes round, what comes out at a frame depends on the last
// fifth of a second alone: the level is known beforehand, any stretch can be
// rendered by itself, and the tail is short. In two channels the dry sound
// stands in the middle; the reflections lie left and right of it as a mid and
// a side sum, so that half of left plus right is the one-channel sound.
package room

import "reedlark/synth/dsp"

// Tap is one way the sound comes: after Delay frames, with gain Mid in the
// middle, and Side added on the left and taken away on the right.
type Tap struct {
	Delay     int
	Mid, Side float32
}

// Count is how many reflections there are.
const Count = 10

// Room is the direct sound and its reflections, by delay.
type Room struct {
	Taps      []Tap // Taps[0] is the direct sound; alone when the room is dry
	mid, side []five
}

// The reflections of the full room: delays in milliseconds, spread so that
// neither they nor their differences coincide, and where they come from, -1
// right to 1 left. by ear, with early times as of a living room; the strength
// falls by e in fadeMS. The signs keep their sum from favouring low notes.
var (
	delays = [Count]float64{9.7, 16.3, 23.9, 35.1, 48.7, 64.3, 84.1, 108.7, 139.1, 177.3}
	signs  = [Count]float64{1, -1, 1, 1, -1, -1, 1, -1, 1, -1}
	sides  = [Count]float64{0.7, -0.8, -0.5, 0.9, 0.6, -0.9, 0.4, 0.8, -0.7, -0.6}
)

const (
	strength = 0.22
	fadeMS   = 75.0
)

// New is a room of a size from 0 (dry) to 1, at a rate in frames a second. What
// lies left and right of the middle is as loud as the reflections themselves.
func New(size float64, rate int, channels int) Room {
	return build(size, rate, channels, size*strength)
}

// NewWide is a room whose sides are louder, so that it is heard as one on the left
// and on the right also where it is small.
func NewWide(size float64, rate int, channels int) Room {
	return build(size, rate, channels, widest*dsp.Exp2(dsp.Log2(max(size, 1e-3))*growth))
}

// The sides of a wide room: how loud they are in the full one, and how slowly they
// grow with it. by ear, and so that left and right of the usual room correlate by
// 0.85 to 0.97.
const (
	widest = 0.30
	growth = 0.35
)

// build makes a room whose sides have a strength of their own.
func build(size float64, rate, channels int, width float64) Room {
	taps := []Tap{{Mid: 1}}
	if size <= 0 {
		return Room{Taps: taps}
	}
	for i, ms := range delays {
		fade := dsp.Exp(-ms / fadeMS)
		tap := Tap{Delay: int(float64(ms*float64(rate)/1000) + 0.5), Mid: float32(signs[i] * size * strength * fade)}
		if channels == 2 {
			tap.Side = float32(signs[i] * width * fade * sides[i])
		}
		taps = append(taps, tap)
	}
	return Room{
		Taps: taps,
		mid:  fives(taps[1:], func(t Tap) float32 { return t.Mid }),
		side: fives(taps[1:], func(t Tap) float32 { return t.Side }),
	}
}

// Reach is how many frames back the room listens.
func (r Room) Reach() int { return r.Taps[len(r.Taps)-1].Delay }

// Dry says that there are no reflections.
func (r Room) Dry() bool { return len(r.Taps) == 1 }
