package synth

import (
	"context"

	"reedlark/synth/loud"
	"reedlark/synth/room"
)

// fit gives the sound its gain. The sides are the sound itself or, where it is
// split, those of its channels. Once the plan is counted it drops what only the
// estimate needs, since a service keeps many sounds.
func (s *Sound) fit(around room.Room, sides ...*Sound) (*Sound, error) {
	p := loud.Plan{
		Frames: s.frames, Rate: s.set.Rate, Channels: s.set.Channels, Loudness: s.set.Loudness,
		Timbres: sides[0].plan.timbres, Tables: s.set.Tables, Watch: s.set.Watch,
		Drums: sides[0].plan.drums,
	}
	for _, side := range sides {
		p.Sides = append(p.Sides, side.plan.sources)
	}
	gain, report, err := loud.Estimate(p, around, s.alone)
	if err != nil {
		return nil, err
	}
	out := s.with(gain, s.set.Depth)
	out.report = report
	out.plan.sources = nil
	for _, side := range out.sides {
		if side != nil {
			side.plan.sources = nil
		}
	}
	return out, nil
}

// alone renders, at a gain, what has to keep its peak by itself: the sound, and
// each stem, since the other may cancel some of it.
func (s *Sound) alone(g loud.Gain) (parts []loud.Render, full float64) {
	s = s.with(g, 24)
	players := []player{s.player(s.frames)}
	if melody, rest := s.Stem(Melody), s.Stem(Rest); !s.set.Split && len(melody.plan.parts) > 0 && len(rest.plan.parts) > 0 {
		players = append(players, melody.player(s.frames), rest.player(s.frames))
	}
	for _, p := range players {
		parts = append(parts, func(from, to int64, emit func(block []int32) error) error {
			return p.render(context.Background(), from, to, emit)
		})
	}
	return parts, float64(s.full())
}

// with is the same sound at another gain and depth.
func (s *Sound) with(gain loud.Gain, depth int) *Sound {
	out := *s
	out.gain, out.set.Depth, out.set.Watch = gain, depth, nil
	for i, side := range s.sides {
		if side != nil {
			out.sides[i] = side.with(gain, depth)
		}
	}
	return &out
}
