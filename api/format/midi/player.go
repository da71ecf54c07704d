package midi

import (
	"cmp"
	"math"
	"slices"

	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"reedlark/tab/score"
)

// rank is the order of events at one tick: what ends comes before what begins,
// and a wheel stands right before its note.
type rank int

// The ranks.
const (
	first rank = iota
	off
	control
	words
	on
)

type event struct {
	at   int64
	rank rank
	msg  smf.Message
}

// channels are those for notes: all but the tenth, which General MIDI gives to
// percussion.
var channels = [15]uint8{0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15}

// held is a note that was begun and not ended.
type held struct {
	channel uint8
	key     uint8
	hole    int
	breath  score.Breath
	hz      float64 // where its pitch is by now
	end     int64
}

// player turns the notes of a score into events.
type player struct {
	clock
	reach  int // semitones of the wheel
	events []event
	holds  []held
	used   [16]bool
	wheel  [16]int16
	turned [16]bool // the level or the modulation is not where it began
}

func (p *player) add(at int64, r rank, msg smf.Message) {
	p.events = append(p.events, event{max(at, 0), r, msg})
}

// note plays one note of the score.
func (p *player) note(n *score.Note) {
	if p.goesOn(n) {
		p.glideOn(n)
		return
	}
	at := p.tick(n.Start)
	p.release(at)
	end := max(p.tick(n.Start+n.Seconds-n.Gap), at+1)
	for i := range n.Voices[:min(len(n.Voices), len(channels))] {
		v := &n.Voices[i]
		h := held{channels[i], uint8(min(max(v.Midi, 0), 127)), v.Hole, v.Breath, v.Hz, end}
		p.reset(h.channel, at)
		p.turn(h, at, v.FromHz)
		p.add(at, on, smf.Message(gomidi.NoteOn(h.channel, h.key, velocity(n))))
		p.glide(h, n, v)
		p.used[h.channel] = true
		p.holds = append(p.holds, h)
	}
	p.shake(n, end)
}

// release ends what is held, at a tick at the latest.
func (p *player) release(at int64) {
	for _, h := range p.holds {
		p.add(min(h.end, at), off, smf.Message(gomidi.NoteOff(h.channel, h.key)))
	}
	p.holds = p.holds[:0]
}

// samePitch is how near two pitches lie that are one, as a ratio.
const samePitch = 1.0001

// goesOn says whether a slide is the pitch of what sounds already, on the move.
func (p *player) goesOn(n *score.Note) bool {
	if n.Role != score.Slide || len(p.holds) == 0 || len(n.Voices) == 0 {
		return false
	}
	for i := range n.Voices {
		v := &n.Voices[i]
		h := p.holding(v)
		if h == nil || v.FromHz == v.Hz || max(h.hz/v.FromHz, v.FromHz/h.hz) > samePitch {
			return false
		}
	}
	return true
}

// holding finds what is held on the reed of a voice.
func (p *player) holding(v *score.Voice) *held {
	i := slices.IndexFunc(p.holds, func(h held) bool { return h.hole == v.Hole && h.breath == v.Breath })
	if i < 0 {
		return nil
	}
	return &p.holds[i]
}

// glideOn moves the pitch of what is held and ends what the slide leaves.
func (p *player) glideOn(n *score.Note) {
	at := p.tick(n.Start)
	end := max(p.tick(n.Start+n.Seconds-n.Gap), at+1)
	var kept []held
	for i := range n.Voices {
		h := *p.holding(&n.Voices[i])
		h.hz, h.end = n.Voices[i].Hz, end
		kept = append(kept, h)
	}
	left := p.holds[:0]
	for _, h := range p.holds {
		if !slices.ContainsFunc(kept, func(k held) bool { return k.channel == h.channel }) {
			left = append(left, h)
		}
	}
	p.holds = left
	p.release(at)
	p.holds = kept
	for i, h := range kept {
		p.glide(h, n, &n.Voices[i])
		if n.Fades {
			p.fade(h, n)
		}
	}
}

// velocity says how hard a note is blown. ref: General MIDI Level 2, from
// memory: 40 log10(velocity/127) is the level in decibels.
func velocity(n *score.Note) uint8 {
	const usual = 100
	v := usual * math.Pow(10, (n.Gain+n.Accent)/40)
	return uint8(math.Round(min(max(v, 1), 127)))
}

// track puts the events in order.
func (p *player) track() smf.Track {
	slices.SortStableFunc(p.events, func(a, b event) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.rank, b.rank))
	})
	var t smf.Track
	now := int64(0)
	for _, e := range p.events {
		t.Add(uint32(e.at-now), e.msg)
		now = e.at
	}
	t.Close(uint32(max(p.end-now, 0)))
	return t
}
