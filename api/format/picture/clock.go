package picture

import (
	"reedlark/tab/beat"
	"reedlark/tab/score"
)

// clock knows when the beats of the piece come in the sound.
type clock struct {
	first  float64 // the first beat that is played, of the piece
	zero   float64 // when it comes, seconds
	beat   float64 // its length, seconds
	length float64 // of one round, beats
	rounds int
}

// newClock reckons from the first note on a whole beat, which swing leaves
// alone; without one, from the first that has beats.
func newClock(s *score.Score, o Options) clock {
	c := clock{beat: 60 / max(s.Tempo, 1), rounds: max(o.Rounds, 1)}
	c.length = s.Beats.Float() / float64(c.rounds)
	if anchor := anchor(s.Notes); anchor != nil {
		c.zero = s.Seconds - o.Tail - c.length*float64(c.rounds)*c.beat
		c.first = anchor.StartBeat.Float() - (anchor.Start-c.zero)/c.beat
	}
	return c
}

func anchor(notes []score.Note) *score.Note {
	var found *score.Note
	for i, n := range notes {
		if n.Beats.Sign() == 0 {
			continue
		}
		if n.StartBeat.IsWhole() {
			return &notes[i]
		}
		if found == nil {
			found = &notes[i]
		}
	}
	return found
}

// end is when the last beat is over.
func (c clock) end() float64 { return c.zero + max(c.length*float64(c.rounds), 1)*c.beat }

// bars are the starts of the bars that are played, over all rounds.
func (c clock) bars(starts []beat.Time) (out []moment) {
	for round := range c.rounds {
		for i, b := range starts {
			into := b.Float() - c.first
			if into > -1e-6 && into < c.length-1e-6 {
				out = append(out, moment{i + 1, b.Float(), c.at(round, into)})
			}
		}
	}
	return out
}

// beats are the others: each a beat on from the bar, or from the beginning.
func (c clock) beats(bars []moment) (out []moment) {
	starts := append([]moment{{seconds: c.zero, beat: c.first}}, bars...)
	for i, m := range starts {
		end := c.end()
		if i+1 < len(starts) {
			end = starts[i+1].seconds
		}
		for n := 0; m.seconds+float64(n)*c.beat < end-1e-6; n++ {
			if n > 0 || i == 0 {
				out = append(out, moment{0, m.beat + float64(n), m.seconds + float64(n)*c.beat})
			}
		}
	}
	return out
}

func (c clock) at(round int, into float64) float64 {
	return c.zero + (float64(round)*c.length+into)*c.beat
}
