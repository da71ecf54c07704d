package quantise

import (
	"math"

	"reedlark/tab/beat"
)

// beats is a number of ticks in beats.
func (t ticks) beats() beat.Time { return beat.Whole(int(t)).Over(int(perBeat)) }

// rhythm is what a path says.
func (t *Taps) rhythm(p *path) Rhythm {
	s := p.lattice.style
	out := Rhythm{Tempo: 60 / p.period(), Metre: s.metre, Swing: s.swing, Cost: p.cost, Confidence: 1}
	bar := ticks(s.metre.Beats) * perBeat
	out.Pickup = ((bar - p.start) % bar).beats()
	at, halves := p.start, false
	for i := range p.ticks {
		at += p.ticks[i]
		long := t.length(p, i, at)
		sounds := t.sounds(p, i, at, long)
		sure := p.sure(t, i)
		out.Confidence *= sure
		halves = halves || at%perBeat == perBeat/2
		out.Notes = append(out.Notes, Note{Start: (at - p.start).beats(), Beats: sounds.beats(), Rest: (long - sounds).beats(), Confidence: sure})
	}
	if t.Swing == 0 && !halves {
		out.Swing = .5 // nothing swings
	}
	return out
}

// length is how long it is from one note to the next. The last ends where it was
// let go, else with its bar, or with its beat where nobody gave a metre.
func (t *Taps) length(p *path, i int, at ticks) ticks {
	if i+1 < len(p.ticks) {
		return p.ticks[i+1]
	}
	if t.ended(i) {
		beats := math.Round((t.Ends[i] - t.Onsets[i]) / p.periods[i])
		return max(ticks(beats)*perBeat, perBeat) - at%perBeat
	}
	bar := ticks(t.Metre.Beats) * perBeat
	if bar == 0 {
		bar = perBeat
	}
	return bar - at%bar
}

func (t *Taps) ended(i int) bool { return t.Ends != nil && t.Ends[i] > 0 }

// sounds is how long a note sounds. A silence of at least half a beat, and of at
// least a quarter of the time to the next note, is a rest.
func (t *Taps) sounds(p *path, i int, at, long ticks) ticks {
	if !t.ended(i) || i+1 == len(p.ticks) {
		return long
	}
	gap := t.Onsets[i+1] - t.Onsets[i]
	silence := t.Onsets[i+1] - t.Ends[i]
	period := gap / float64(long) * float64(perBeat)
	if silence < period/2 || silence < gap/4 {
		return long
	}
	end := float64(at) + (gap-silence)/period*float64(perBeat)
	best := long
	for k := (at/(perBeat/2) + 1) * (perBeat / 2); k < at+long; k += perBeat / 2 {
		if math.Abs(float64(k)-end) < math.Abs(float64(at+best)-end) {
			best = k - at
		}
	}
	return best
}

// sure is the probability that the length of a note is right, the tempo there
// being known: what the length is worth among all that could follow.
func (p *path) sure(t *Taps, i int) float64 {
	if i+1 == len(p.ticks) {
		return 1
	}
	const noise = .028 // seconds: of the gap between two taps
	gap := (t.Onsets[i+1] - t.Onsets[i])
	period := (p.periods[i] + p.periods[i+1]) / 2
	sum, chosen := 0., 0.
	for _, a := range near(p.lattice.arcs[p.places[i]], gap/period, .6) {
		z := (gap - a.beats*period) / noise
		w := math.Exp(-z*z/2 - a.cost)
		sum += w
		if a.ticks == p.ticks[i+1] {
			chosen = max(chosen, w)
		}
	}
	if sum == 0 {
		return .5
	}
	return chosen / sum
}
