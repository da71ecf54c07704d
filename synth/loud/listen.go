package loud

import (
	"errors"

	"reedlark/synth/reed"
)

// listen renders the stretches in which the bounds of the peaks would hold the sound
// down, and puts the peaks they really have in their place. In most sounds there
// are none.
func (l *estimate) listen(p Plan, alone Alone) error {
	loud := l.loud(p.Loudness)
	if len(loud) == 0 {
		return nil
	}
	quiet := Gain{Base: 1 / l.highest()} // at which nothing is clipped
	parts, full := alone(quiet)
	if err := p.watch(listening(loud, p.Frames) * int64(len(parts))); err != nil {
		return err
	}
	for _, s := range loud {
		s.forget()
		from, to := s.frames(p.Frames)
		to = min((to+reed.Segment-1)&^(reed.Segment-1), p.Frames) // where the next one may go on
		for _, render := range parts {
			meter := s.peakMeter(p.Channels, quiet.Base*full)
			if p.Drums {
				meter.missed = missedNoise
			}
			err := render(from, to, func(block []int32) error {
				return errors.Join(meter.add(block), p.watch(0))
			})
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// listening is how many frames of a sound the stretches have.
func listening(stretches []stretch, all int64) (frames int64) {
	for _, s := range stretches {
		from, to := s.frames(all)
		frames += to - from
	}
	return frames
}
