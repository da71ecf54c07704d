package midi

import (
	"math"

	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"reedlark/tab/score"
)

// part is a player of the band as a receiver has to know it.
type part struct {
	player  score.Player
	name    string
	channel uint8
	program uint8
}

// parts are those of the band, on channels that no harp reaches. ref: General
// MIDI System Level 1, sound set, programs 33, acoustic bass, and 21, reed organ.
var parts = []part{
	{score.Bass, "Bass", 15, 32},
	{score.Comping, "Comping", 14, 20},
	{score.Drone, "Drone", 13, 20},
	{score.Kick, "Kick", 9, 0},
	{score.Snare, "Snare", 9, 0},
	{score.Brush, "Brush", 9, 0},
	{score.Hat, "Hi-hat", 9, 0},
	{score.Shaker, "Shaker", 9, 0},
}

// drumKeys are the keys of the percussion channel. ref: General MIDI System Level 1,
// percussion map: bass drum 1, acoustic snare, electric snare, closed hi-hat; 82,
// shaker, is of General MIDI 2.
var drumKeys = map[score.Player]uint8{score.Kick: 36, score.Snare: 38, score.Brush: 40, score.Hat: 42, score.Shaker: 82}

// backing is a track for every player who has something to play.
func backing(sc *score.Score, c clock) (tracks []smf.Track) {
	for _, p := range parts {
		out := &player{clock: c}
		for i := range sc.Backing {
			if b := &sc.Backing[i]; b.Player == p.player {
				out.accompany(p, b)
			}
		}
		if len(out.events) > 0 {
			out.add(0, first, smf.MetaTrackSequenceName(p.name))
			out.add(0, first, smf.Message(gomidi.ProgramChange(p.channel, p.program)))
			tracks = append(tracks, out.track())
		}
	}
	return tracks
}

// accompany plays one note. The wheel stands where A4 does, and is turned once.
func (p *player) accompany(who part, b *score.Backing) {
	key, drum := drumKeys[b.Player]
	if !drum && !p.used[who.channel] {
		p.used[who.channel] = true
		if turn := int16(math.Round(bend(b.Midi, b.Hz) / usualReach * centre)); turn != 0 {
			p.add(0, first, smf.Message(gomidi.Pitchbend(who.channel, turn)))
		}
	}
	at := p.tick(b.Start)
	end := max(p.tick(b.Start+b.Seconds), at+1)
	if !drum {
		key = uint8(min(max(b.Midi, 0), 127))
	}
	p.add(at, on, smf.Message(gomidi.NoteOn(who.channel, key, under(b))))
	p.add(end, off, smf.Message(gomidi.NoteOff(who.channel, key)))
}

// under is how hard a note of the band is struck: well under the harp's.
func under(b *score.Backing) uint8 {
	const usual = 66
	return uint8(math.Round(min(max(usual*math.Pow(10, b.Accent/40), 1), 127)))
}
