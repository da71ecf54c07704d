package synth

import (
	"reedlark/synth/band"
	"reedlark/synth/dsp"
	"reedlark/synth/loud"
	"reedlark/synth/room"
	"reedlark/tab/score"
)

// inFront is how far the harp is in front of those who play along, LU; balanceMost
// how much the band is moved at most to get there, dB. ref: 6 to 8 LU (by ear).
const (
	inFront     = 7.0
	balanceMost = 12.0
)

// putInFront gives the band the level at which the harp is in front of it. A drone,
// which only holds a note, stays where it is.
func (p *planner) putInFront() {
	if len(p.players) == 0 {
		return
	}
	var melody, accompaniment []loud.Source
	for _, s := range p.sources {
		switch part := s.(type) {
		case *loud.Breath:
			melody = append(melody, s)
		case *loud.Note:
			if p.players[part.Part] != score.Drone {
				accompaniment = append(accompaniment, s)
			}
		case *loud.Click:
			if _, drum := part.Part.(*band.Stroke); drum {
				accompaniment = append(accompaniment, s)
			}
		}
	}
	if len(melody) == 0 || len(accompaniment) == 0 {
		return
	}
	db := p.loudness(melody) - p.loudness(accompaniment) - inFront
	gain := dsp.Gain(min(max(db, -balanceMost), balanceMost))
	for part, who := range p.players {
		switch v := part.(type) {
		case *band.Note:
			if who != score.Drone {
				v.Gain *= gain
			}
		case *band.Stroke:
			v.Gain *= gain
		}
	}
}

// loudness is that of some sources alone, dry, LUFS.
func (p *planner) loudness(sources []loud.Source) float64 {
	return loud.Loudness(loud.Plan{
		Frames: p.frames, Rate: p.set.Rate, Channels: 1, Sides: [][]loud.Source{sources},
		Timbres: p.timbres, Tables: p.set.Tables,
	}, room.New(0, p.set.Rate, 1))
}
