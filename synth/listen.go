package synth

import (
	"context"

	"reedlark/synth/level"
	"reedlark/synth/reed"
)

// listen renders the stretches in which the bounds of the peaks would hold the sound
// down, and puts the peaks they really have in their place. In most sounds there
// are none.
func (s *Sound) listen(l *level.Ledger) error {
	loud := l.Loud(s.set.Loudness)
	if len(loud) == 0 {
		return nil
	}
	soft := s.with(level.Gain{Base: 1 / l.Highest()}, 24) // at which nothing is clipped
	players := soft.alone()
	for _, stretch := range loud {
		stretch.Forget()
		from, to := stretch.Frames(s.frames)
		to = min((to+reed.Cell-1)&^(reed.Cell-1), s.frames) // where the next one may go on
		for _, p := range players {
			ear := stretch.Ear(s.set.Channels, soft.gain.Base*float64(soft.full()))
			err := p.render(context.Background(), from, to, func(block []int32) error {
				ear.Hear(block)
				return nil
			})
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// alone is what has to keep its peak: the sound, and each stem, for where the other
// takes something away from it.
func (s *Sound) alone() []player {
	out := []player{s.player(s.frames)}
	if melody, rest := s.Stem(Melody), s.Stem(Rest); !s.set.Split && len(melody.plan.parts) > 0 && len(rest.plan.parts) > 0 {
		out = append(out, melody.player(s.frames), rest.player(s.frames))
	}
	return out
}

// with is the same sound at another gain and depth.
func (s *Sound) with(gain level.Gain, depth int) *Sound {
	out := *s
	out.gain, out.set.Depth = gain, depth
	for i, side := range s.sides {
		if side != nil {
			out.sides[i] = side.with(gain, depth)
		}
	}
	return &out
}

// fit gives the sound its gain. The plan is counted by then, and lets go of what only
// the ledger asks for, since a service keeps many sounds.
func (s *Sound) fit(l *level.Ledger) (*Sound, error) {
	if err := s.listen(l); err != nil {
		return nil, err
	}
	gain, fit := l.Fit(s.set.Loudness)
	out := s.with(gain, s.set.Depth)
	out.report = report(gain, fit)
	out.plan.sources = nil
	for _, side := range out.sides {
		if side != nil {
			side.plan.sources = nil
		}
	}
	return out, nil
}
