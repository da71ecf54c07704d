package perform

import (
	"slices"

	"reedlark/tab"
	"reedlark/tab/band"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/score"
)

// backing is everything that plays along, over all rounds.
func (p *player) backing(c *clock, zero float64) []score.Backing {
	switch p.set.Backing {
	case Drone:
		return p.drone(c, zero)
	case Chords, Band:
		return p.band(c, zero)
	}
	return nil
}

// The drone lies under the harp: its key note from G2 up. by ear.
const droneFrom = 43

// drone holds the key note of the song and its fifth while the music lasts. On
// a harp in just intonation the fifth is pure.
func (p *player) drone(c *clock, zero float64) []score.Backing {
	tonic := droneFrom + (p.keyNote()-droneFrom%12+12)%12
	out := []score.Backing{p.pitched(score.Drone, tonic), p.pitched(score.Drone, tonic+7)}
	if p.harp.Tuning == harp.Just {
		out[1].Hz = float64(1.5 * out[0].Hz)
	}
	for i := range out {
		out[i].StartBeat, out[i].Beats = p.from, p.beats()
		out[i].Start, out[i].Seconds = zero, c.total()
	}
	return out
}

// keyNote is the key note of the song, semitones above C.
func (p *player) keyNote() int { return (p.harp.Key.Tonic() + 7*(p.set.Position-1)) % 12 }

// pitched is a note of a player that has no time yet, in equal temperament.
func (p *player) pitched(who score.Player, midi int) score.Backing {
	return score.Backing{Player: who, Midi: midi, Name: p.harp.Key.NoteName(midi), Hz: harp.Hz(midi, p.harp.A4)}
}

// band plays the chords of the page.
func (p *player) band(c *clock, zero float64) []score.Backing {
	once := band.Play(p.tune(false))
	var out []score.Backing
	for round := range p.set.Repeat {
		shift := c.shift(round)
		if round == p.set.Repeat-1 && p.set.Backing == Band {
			once = band.Play(p.tune(true))
		}
		for _, n := range once {
			b := score.Backing{Player: players[n.Player]}
			if n.Player < band.Kick {
				b = p.pitched(b.Player, n.Midi)
			}
			b.StartBeat, b.Beats, b.Accent = n.At, n.Till.Minus(n.At), n.Accent
			b.Start = zero + p.felt(c, shift, n.At)
			b.Seconds = zero + p.felt(c, shift, n.Till) - b.Start
			out = append(out, b)
		}
	}
	return out
}

// players are those of the band as the score names them.
var players = map[band.Player]score.Player{
	band.Bass: score.Bass, band.Chords: score.Comping,
	band.Kick: score.Kick, band.Snare: score.Snare, band.Brush: score.Brush, band.Hat: score.Hat, band.Shaker: score.Shaker,
}

// felt is the time of a beat for those who swing every beat, not only those in
// which the tune does. A beat that a bar line cuts short does not swing.
func (p *player) felt(c *clock, shift, at beat.Time) float64 {
	into := at.Minus(p.grid.bar(at)).Mod(oneBeat)
	if start := at.Minus(into); p.grid.next(start) == start.Plus(oneBeat) {
		at = at.Plus(c.push(into))
	}
	return c.plain(shift.Plus(at))
}

// tune is the part that is played as the band has to know it. The last round ends.
func (p *player) tune(ends bool) band.Tune {
	m := p.doc.Metre
	seconds := 60 / p.set.Tempo
	t := band.Tune{
		From: p.from, To: p.to, Changes: p.changes(),
		Style: p.set.Style, Drums: p.set.Backing == Band, Ends: ends,
		Feel: band.Feel{Seconds: seconds, Swung: p.set.Swing > DefaultSwing, Compound: m.Beats%3 == 0 && (m.Beats > 3 || m.Unit > 4)},
	}
	for at := p.grid.first(p.from); at.Less(p.to); at = p.grid.next(at) {
		t.Beats = append(t.Beats, band.Beat{At: at, Into: p.grid.into(at).Floor(), Of: p.grid.beats(at)})
	}
	return t
}

// moved is how far the harp that is played lies above the page's.
func (p *player) moved() int { return p.harp.Key.Tonic() - p.written.Tonic() }

// changes are those of the page, moved to the harp that is played.
func (p *player) changes() []band.Change {
	by := p.moved()
	out := make([]band.Change, len(p.piece.Chords))
	for i, c := range p.piece.Chords {
		out[i] = band.Change{At: c.At, Chord: c.Chord.Moved(by)}
	}
	return out
}

// chords are those of the part that is played, over all rounds.
func (p *player) chords(c *clock, zero float64) []score.Chord {
	var out []score.Chord
	changes := p.changes()
	for round := range p.set.Repeat {
		shift := c.shift(round)
		for i, change := range changes {
			from, to := beat.Max(change.At, p.from), p.to
			if i+1 < len(changes) {
				to = beat.Min(changes[i+1].At, to)
			}
			if from.Less(to) {
				start := zero + p.felt(c, shift, from)
				out = append(out, score.Chord{Symbol: change.Chord.Symbol, StartBeat: from, Start: start, Seconds: zero + p.felt(c, shift, to) - start})
			}
		}
	}
	return out
}

// accompanied says that something plays along in the part that is played.
func (p *player) accompanied() bool {
	switch p.set.Backing {
	case Drone, Band:
		return true
	case Chords:
		return slices.ContainsFunc(p.piece.Chords, func(c tab.Change) bool { return !c.Chord.Silent && c.At.Less(p.to) })
	}
	return false
}

// checkBacking says where chords are asked for and there are none, and where
// they are moved to fit another harp.
func (p *player) checkBacking() {
	if p.set.Backing != Chords && p.set.Backing != Band || p.problems.Has(diag.Error) {
		return
	}
	if len(p.piece.Chords) == 0 {
		p.problems.Add(diag.Warning, diag.NoChords, diag.Span{}, "Write rows such as chords: C | G7, or ask for the backing “drone”.",
			map[Backing]string{
				Chords: "This page has no chords, so nothing plays along.", Band: "This page has no chords, so only drums play along.",
			}[p.set.Backing])
		return
	}
	if p.moved()%12 != 0 {
		p.problems.Add(diag.Note, diag.ChordsMoved, p.piece.Chords[0].Span, "",
			"The chords are written for a harp in %s and are moved along to the harp in %s.", p.written, p.harp.Key)
	}
}
