package synth

import (
	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// Releases, from full strength to silence, seconds: 90 to 10 % take 0.59 of
// it. ref: 5 to 15 ms tongued, 20 to 30 ms else (common practice, no source).
const (
	releaseTongued = 0.017
	releaseBreath  = 0.042
	releaseLeast   = 0.008
)

// envelope is how a phrase starts and ends, and its first and last frames. f
// is of the table it starts with.
func (p *planner) envelope(ph phrase, f reed.Facts) (env reed.Envelope, first, end int64) {
	var early float64
	if joins(ph.before, ph.first()) {
		env.HandOver = handOver(ph.before, ph.first())
		early = float64(handEarly * env.HandOver)
	} else {
		env.Attack = p.attack(ph)
		early = env.Attack.Early(f)
	}
	first = p.frame(ph.first().Start - early)
	begin := float64(first) / float64(p.set.Rate)
	silent := p.ending(ph, &env, begin)
	fade(ph, &env, begin)
	return env, first, min(p.frame(silent), p.frames)
}

// attack is that of the lowest voice, which decides how all speak; under a player,
// that of the highest, which is heard on the beat.
func (p *planner) attack(ph phrase) reed.Attack {
	if p.performer != nil {
		return p.performer.attack(ph, highestVoice(ph.first()))
	}
	return attackOf(ph, lowest(ph.first()))
}

func attackOf(ph phrase, hz float64) reed.Attack {
	over := false
	for _, v := range ph.first().Voices {
		over = over || v.Technique == score.Over
	}
	return reed.NewAttack(hz, ph.seconds(), over)
}

// ending sets how the phrase ends and returns when it falls silent.
func (p *planner) ending(ph phrase, env *reed.Envelope, begin float64) float64 {
	if joins(ph.last(), ph.after) {
		hand := handOver(ph.last(), ph.after)
		env.Joined, env.FallFor = true, hand
		env.FallAt = ph.after.Start - float64(handEarly*hand) - begin
		return begin + env.FallAt + hand
	}
	silent := ph.ends() - ph.last().Gap
	env.FallFor = min(release(ph), max(silent-begin, 0)/2)
	env.FallAt = silent - env.FallFor - begin
	return silent
}

// release is how long the phrase takes to fall silent; gap and release
// together are at most a quarter of the note, but never a click.
func release(ph phrase) float64 {
	if r := ph.last().Release; r > 0 {
		return r
	}
	full := releaseBreath
	if ph.after != nil && ph.after.Onset == score.Tongued {
		full = releaseTongued
	}
	quarter := float64(ph.seconds()/4) - ph.last().Gap
	return min(full, max(quarter, releaseLeast))
}

// fade lets the phrase die away over a note that fades.
func fade(ph phrase, env *reed.Envelope, begin float64) {
	for _, n := range ph.notes {
		if n.Fades {
			env.FadeAt, env.FadeFor = n.Start-begin, n.Seconds
			return
		}
	}
}
