package loud

import (
	"reedlark/synth/reed"
	"reedlark/synth/room"
)

// Plan is what will sound, as far as its loudness depends on it.
type Plan struct {
	Frames   int64
	Rate     int // frames a second
	Channels int // 1 or 2
	// Loudness is wanted of the whole sound, LUFS.
	Loudness float64
	// Sides are the sources that are heard together: one list, or two where
	// each of two channels has its own.
	Sides [][]Source
	// Timbres are those of the reeds, which their breakpoints number.
	Timbres []reed.Timbre
	Tables  *reed.Cache
	Drums   bool // are among the sources
	// Watch, if set, is called with how many frames are about to be rendered, and
	// with 0 in between; its error ends the estimate.
	Watch func(frames int64) error
}

func (p *Plan) watch(frames int64) error {
	if p.Watch == nil {
		return nil
	}
	return p.Watch(frames)
}

// Source is what is counted at a time: a [Breath], a [Note] or a [Click].
type Source interface {
	// Span is the first frame and the one after the last. The sources of a
	// side ascend by their first frames.
	Span() (from, to int64)
	count(e *estimator)
	steady(e *estimator) []steadyPart
}

// Breath is the reeds that one breath blows, and its noise.
type Breath struct {
	*reed.Breath
	Tones []*reed.Tone
}

// Note is a note of the backing: a wave and a second one that is added to it.
type Note struct {
	Part
	Lines              []reed.Line // of the wave; its weighted power is 1
	Weighted           reed.Shares // the second wave against the first, as a loudness meter weighs them
	OwnPeak, ExtraPeak float64     // true peaks of the two
	Turns              func(harmonic int) float64
}

// Part is what has a phase and a strength.
type Part interface {
	reed.Part
	// Strength is the gains of the two waves from a frame on.
	Strength(frame int64) reed.Strength
}

// Click is a short sound without lines that add to others.
type Click struct {
	reed.Part
	Weight float64 // by which a meter raises its power
	// RMS and Peak are of the frames from one up to another.
	RMS, Peak func(from, to int64) float64
}

// Render renders the frames from one up to another, as whole numbers, channels
// interleaved.
type Render func(from, to int64, emit func(block []int32) error) error

// Alone prepares the sound at a gain, and with it every part of it that has to
// keep its peak by itself. full is what 1 is in its samples.
type Alone func(g Gain) (parts []Render, full float64)

// Loudness is the integrated loudness of the first side of a plan at gain 1, LUFS,
// without what lines that nearly coincide add to each other.
func Loudness(p Plan, r room.Room) float64 {
	e := newEstimator(p, r, p.Channels)
	for _, s := range p.Sides[0] {
		first, _ := s.Span()
		e.settleBefore(first)
		s.count(e)
	}
	return e.loudness(unity)
}

// Estimate works out the gain that brings a plan in a room to its loudness, and
// what can be said of the sound then. It renders, through alone, only stretches
// whose peaks might have to be held down. An error is a renderer's, or Watch's.
func Estimate(p Plan, r room.Room, alone Alone) (Gain, Report, error) {
	channels := p.Channels / len(p.Sides)
	var whole *estimate
	for _, sources := range p.Sides {
		side, err := newEstimator(p, r, channels).all(sources, p.watch)
		if err != nil {
			return Gain{}, Report{}, err
		}
		if whole == nil {
			whole = side
		} else {
			whole.beside(side)
		}
	}
	if err := whole.listen(p, alone); err != nil {
		return Gain{}, Report{}, err
	}
	gain, report := whole.fit(p.Loudness)
	return gain, report, nil
}
