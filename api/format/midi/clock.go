package midi

import (
	"errors"
	"fmt"
	"math"

	"reedlark/tab/score"
)

// clock turns seconds of the sound into ticks of the file.
type clock struct {
	beats, unit int     // of the metre; 1/4 where there is none
	perSecond   float64 // ticks
	zero        float64 // the second at which the file begins
	end         int64   // the tick at which it ends
}

var errTime = errors.New("midi: the score has a time that no file can hold")

// maxTick is the most a file can count between two events.
// ref: Standard MIDI Files 1.0, variable-length quantities.
const maxTick = 1<<28 - 1

func newClock(sc *score.Score, pickup float64) (clock, error) {
	c := clock{beats: 1, unit: 4, perSecond: sc.Tempo / 60 * TicksPerBeat}
	if sc.Metre != "" {
		if _, err := fmt.Sscanf(sc.Metre, "%d/%d", &c.beats, &c.unit); err != nil || c.beats < 1 || c.unit < 1 {
			return c, fmt.Errorf("midi: %q is no metre", sc.Metre)
		}
	}
	c.begin(sc, pickup)
	c.end = c.tick(c.zero)
	for _, n := range sc.Notes {
		c.end = max(c.end, c.tick(n.Start+n.Seconds))
	}
	for _, b := range sc.Backing {
		c.end = max(c.end, c.tick(b.Start+b.Seconds))
	}
	if !(sc.Tempo > 0) || !(sc.Seconds*c.perSecond < maxTick) || c.end > maxTick {
		return c, errTime
	}
	return c, nil
}

// begin finds the bar line before all that sounds.
func (c *clock) begin(sc *score.Score, pickup float64) {
	ticksPerBar := float64(c.beats * TicksPerBeat)
	seconds, beat := firstBeat(sc)
	into := math.Mod(beat-pickup, float64(c.beats)) // the way of that beat into its bar
	if into < 0 {
		into += float64(c.beats)
	}
	c.zero = seconds - into*TicksPerBeat/c.perSecond
	if len(sc.Notes) > 0 && sc.Notes[0].Start < c.zero { // graces before a bar line
		c.zero -= math.Ceil((c.zero-sc.Notes[0].Start)*c.perSecond/ticksPerBar) * ticksPerBar / c.perSecond
	}
}

// firstBeat is a beat of the piece and the second it is heard at. Of all notes
// with a beat of their own it takes the earliest against where it is written:
// one of the first round, which swing has not made late.
func firstBeat(sc *score.Score) (seconds, beat float64) {
	if len(sc.Notes) == 0 && len(sc.Backing) > 0 { // the band never begins on a half
		return sc.Backing[0].Start, sc.Backing[0].StartBeat.Float()
	}
	early := math.Inf(1)
	for _, n := range sc.Notes {
		if n.Role == score.Grace || n.Role == score.Slide {
			continue
		}
		written := n.StartBeat.Float()
		if late := n.Start - written*60/sc.Tempo; late < early-1e-9 {
			early, seconds, beat = late, n.Start, written
		}
	}
	return seconds, beat
}

// tick is the tick nearest to a second.
func (c clock) tick(seconds float64) int64 {
	return int64(math.Round((seconds - c.zero) * c.perSecond))
}
