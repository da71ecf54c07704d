package synth

import (
	"context"
	"maps"
	"slices"

	"reedlark/synth/loud"
	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// Stem is one of the two halves of a sound.
type Stem bool

// The stems: what the harp plays, and all else, clicks included.
const (
	Melody Stem = true
	Rest   Stem = false
)

// Stem is one half of the sound, at the gain of the whole: the samples of both
// stems add up to those of the sound, but for rounding. Of a split sound it is
// one of its two channels.
func (s *Sound) Stem(half Stem) *Sound {
	switch {
	case s.set.Split && half == Melody:
		return s.sides[0]
	case s.set.Split:
		return s.sides[1]
	}
	out := *s
	out.plan = s.plan.only(half)
	return &out
}

// Clicks stands for the metronome among the players.
const Clicks score.Player = "clicks"

// Players are those who play along, the clicks among them, in alphabetical order.
func (s *Sound) Players() []score.Player {
	all := map[score.Player]bool{}
	for _, part := range s.accompaniment().plan.parts {
		all[s.accompaniment().plan.playerOf(part)] = true
	}
	return slices.Sorted(maps.Keys(all))
}

// Part is what one of the players plays, at the gain of the whole.
func (s *Sound) Part(who score.Player) *Sound {
	out := *s.accompaniment()
	whole := out.plan
	out.plan = plan{timbres: whole.timbres}
	for _, part := range whole.parts {
		if whole.playerOf(part) == who {
			out.plan.parts = append(out.plan.parts, part)
		}
	}
	out.plan.order()
	return &out
}

// accompaniment is all but what the harp plays.
func (s *Sound) accompaniment() *Sound { return s.Stem(Rest) }

func (p *plan) playerOf(part reed.Part) score.Player {
	if who, ok := p.players[part]; ok {
		return who
	}
	return Clicks
}

// only is the part of a plan that belongs to a stem.
func (p *plan) only(half Stem) plan {
	out := plan{timbres: p.timbres, players: p.players, drums: p.drums}
	for _, part := range p.parts {
		if stemOf(part) == half {
			out.parts = append(out.parts, part)
		}
	}
	for _, s := range p.sources {
		if _, ok := s.(*loud.Breath); Stem(ok) == half {
			out.sources = append(out.sources, s)
		}
	}
	out.order()
	return out
}

func stemOf(part reed.Part) Stem {
	switch part.(type) {
	case *reed.Tone, *reed.Breath:
		return Melody
	}
	return Rest
}

// prepareSplit prepares two sounds of one channel that go side by side: left the
// melody, right the rest.
func prepareSplit(sc *score.Score, s Settings, breathDB float64) (*Sound, error) {
	snd := &Sound{set: s, frames: Frames(sc.Seconds, s)}
	mono := s
	mono.Channels, mono.Split = 1, false
	around := roomOf(sc, s, 1)
	whole := newPlan(sc, mono, snd.frames, breathDB)
	for i, half := range []Stem{Melody, Rest} {
		snd.sides[i] = &Sound{set: mono, frames: snd.frames, room: around, plan: whole.only(half), seat: i}
	}
	return snd.fit(around, snd.sides[:]...)
}

// pair renders the two sides of a split sound.
type pair [2]*line

// sideFrames is how many frames of each side are rendered at a time.
const sideFrames = 4 * chunkFrames

// render renders both sides and hands them on as two channels.
func (p pair) render(ctx context.Context, from, to int64, emit func(block []int32) error) error {
	block := make([]int32, 2*min(to-from, sideFrames))
	for at := from; at < to; at += sideFrames {
		end := min(to, at+sideFrames)
		for channel, side := range p {
			k := channel
			err := side.render(ctx, at, end, func(samples []int32) error {
				for _, x := range samples {
					block[k] = x
					k += 2
				}
				return nil
			})
			if err != nil {
				return err
			}
		}
		if err := emit(block[:2*(end-at)]); err != nil {
			return err
		}
	}
	return nil
}
