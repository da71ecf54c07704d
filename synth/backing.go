package synth

import (
	"fmt"

	"reedlark/synth/band"
	"reedlark/synth/dsp"
	"reedlark/synth/loud"
	"reedlark/tab/score"
)

// How far under a reed each voice of the band lies, dB, as a loudness meter
// hears them at their strongest. by ear, and by the meter: all together lie 6 to
// 10 LU under the melody.
var under = map[score.Player]float64{
	score.Bass:    -5.5,
	score.Comping: -11.2,
	score.Drone:   -10.7,
}

// addBacking makes the parts of what plays along.
func (p *planner) addBacking(notes []score.Backing) {
	tables := map[band.Timbre]*band.Table{}
	for _, n := range notes {
		t := band.Timbre{Kind: band.Soft, Hz: n.Hz, Rate: p.set.Rate}
		if n.Player == score.Bass {
			t.Kind = band.Plucked
		}
		if tables[t] == nil {
			tables[t] = band.Build(t)
		}
		part := &band.Note{
			First: p.frame(n.Start), End: min(p.frame(n.Start+n.Seconds), p.frames),
			Rate: float64(p.set.Rate), Gain: dsp.Gain(under[n.Player] + n.Accent),
			Kind: t.Kind, Step: dsp.Step(n.Hz, float64(p.set.Rate)), Table: tables[t],
		}
		if part.End > part.First {
			p.parts = append(p.parts, part)
			p.sources = append(p.sources, &loud.Note{
				Part: part, Lines: part.Table.Lines, Weighted: part.Table.Weighted,
				OwnPeak: part.Table.OwnPeak, ExtraPeak: part.Table.EdgePeak, Turns: band.Turns,
			})
		}
	}
}

func checkBacking(n *score.Backing) error {
	switch {
	case !within(n.Start, 0, maxSeconds) || !within(n.Seconds, 0, maxSeconds):
		return fmt.Errorf("it starts at %g s and lasts %g s", n.Start, n.Seconds)
	case !within(n.Accent, -60, 20):
		return fmt.Errorf("its level is changed by %g dB", n.Accent)
	case !within(n.Hz, minHz, maxHz):
		return fmt.Errorf("a voice of %g Hz", n.Hz)
	}
	return nil
}
