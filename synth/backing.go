package synth

import (
	"fmt"

	"reedlark/synth/band"
	"reedlark/synth/dsp"
	"reedlark/synth/loud"
	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// How far under a reed each voice of the band lies, dB, as a loudness meter
// hears them at their strongest; all together are then moved to where the harp is
// in front of them. by ear.
var under = map[score.Player]float64{
	score.Bass:    -7.5,
	score.Comping: -11.2,
	score.Drone:   -10.7,
	score.Kick:    -6,
	score.Snare:   -7,
	score.Brush:   -9,
	score.Hat:     -14,
	score.Shaker:  -15,
}

// kinds are the voices of the players that have a pitch.
var kinds = map[score.Player]band.Kind{score.Bass: band.Plucked, score.Comping: band.Comped, score.Drone: band.Soft}

// addBacking makes the parts of what plays along.
func (p *planner) addBacking(notes []score.Backing) {
	tables, kit := map[band.Timbre]*band.Table{}, kit{}
	for i := range notes {
		n := &notes[i]
		gain := dsp.Gain(under[n.Player] + n.Accent)
		if n.Player.Drum() {
			p.addStroke(kit, n, uint64(i), gain)
			continue
		}
		t := band.Timbre{Kind: kinds[n.Player], Hz: n.Hz, Rate: p.set.Rate}
		if tables[t] == nil {
			tables[t] = band.Build(t)
		}
		part := &band.Note{
			First: p.frame(n.Start - float64(t.Kind.Early())), End: min(p.frame(n.Start+n.Seconds), p.frames),
			Rate: float64(p.set.Rate), Gain: gain,
			Kind: t.Kind, Step: dsp.Step(n.Hz, float64(p.set.Rate)), Table: tables[t],
		}
		if part.End > part.First {
			p.addPlayer(n.Player, part, &loud.Note{
				Part: part, Lines: part.Table.Lines, Weighted: part.Table.Weighted,
				OwnPeak: part.Table.OwnPeak, ExtraPeak: part.Table.EdgePeak, Turns: band.Turns,
			})
		}
	}
}

// addPlayer adds what a player plays.
func (p *planner) addPlayer(who score.Player, part reed.Part, source loud.Source) {
	p.parts = append(p.parts, part)
	p.sources = append(p.sources, source)
	p.players[part] = who
}

// drums are the drums of the score.
var drums = map[score.Player]band.Drum{
	score.Kick: band.Kick, score.Snare: band.Snare, score.Brush: band.Brush, score.Hat: band.Hat, score.Shaker: band.Shaker,
}

// kit is the strokes of drums that are at hand.
type kit map[stroke]*band.Sample

type stroke struct {
	drum    band.Drum
	variant uint64
}

// variants is how many strokes of a drum there are; chance chooses.
const variants = 4

// addStroke strikes a drum.
func (p *planner) addStroke(k kit, n *score.Backing, number uint64, gain float64) {
	key := stroke{drums[n.Player], dsp.Hash(number, 77) % variants}
	if k[key] == nil {
		k[key] = band.NewSample(key.drum, key.variant, p.set.Rate)
	}
	part := band.NewStroke(k[key], p.frame(n.Start-float64(key.drum.Early())), p.frames, gain)
	if part.Last > part.First {
		p.drums = true
		p.addPlayer(n.Player, part, &loud.Click{Part: part, Weight: 1, RMS: part.RMS, Peak: part.Peak})
	}
}

func checkBacking(n *score.Backing) error {
	switch {
	case !within(n.Start, 0, maxSeconds) || !within(n.Seconds, 0, maxSeconds):
		return fmt.Errorf("it starts at %g s and lasts %g s", n.Start, n.Seconds)
	case !within(n.Accent, -60, 20):
		return fmt.Errorf("its level is changed by %g dB", n.Accent)
	case under[n.Player] == 0:
		return fmt.Errorf("a player called %q", n.Player)
	case !n.Player.Drum() && !within(n.Hz, minHz, maxHz):
		return fmt.Errorf("a voice of %g Hz", n.Hz)
	}
	return nil
}
