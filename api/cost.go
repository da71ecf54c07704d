package api

import (
	"strings"
	"time"

	"reedlark/tab"
	"reedlark/tab/score"
)

// Product is something that can be made of a piece.
type Product int

// The products.
const (
	ScoreProduct Product = iota // the score as JSON, prepared
	MIDIProduct
	MusicXMLProduct
	PictureProduct
	CardProduct
	TabProduct
	PageProduct // the page that plays it
	WAVProduct
	FLACProduct
)

// VoiceSecond is what it takes to render a second of one voice of a tune of two
// notes a second, in one channel at 48,000 frames a second. Costs are times of a
// processor of the machine in testdata/bench/README.md: the same request costs the
// same everywhere, whatever else a machine does.
const VoiceSecond = 340 * time.Microsecond

// us is a cost in microseconds.
func us(microseconds float64) time.Duration {
	return time.Duration(microseconds * float64(time.Microsecond))
}

// The costs below are fitted to measured times, to within a factor of two of each
// for every product of twenty shapes of page. ref: BenchmarkCosts.

// OpeningCost is about what it costs to read a tab and perform it, judged by what
// its characters look like: it is not read. What follows from the notes is known
// when it is open, see [Piece.Cost].
func (r Request) OpeningCost() time.Duration {
	notes, again, lines, signs, rows := 0, 0, 0, 0, 0
	for line := range strings.Lines(r.Tab) {
		lines++
		n, others := looks(line)
		notes, again, signs = notes+n, again+n*(times(line)-1), signs+others
		if isChordRow(line) {
			rows += len(strings.Fields(line))
		}
	}
	const perByte, perLine, perNote, perAgain, perSign, perChord, perBacked, perStrict = 0.07, 0.25, 0.9, 0.35, 0.15, 4, 14, 8
	cost := perByte*float64(len(r.Tab)) + perLine*float64(lines) + perNote*float64(notes) + perAgain*float64(min(again, MaxNotes)) + perSign*float64(signs) + perChord*float64(rows)
	if r.Backing != Defaults().Backing {
		cost += perBacked * float64(rows)
	}
	if r.Strict {
		cost += perStrict * float64(notes+again)
	}
	return us(cost)
}

// RoughCost is about what it costs to open a tab and to make something of it, judged
// by how its text looks: enough to know that there is no time for it.
func (r Request) RoughCost(of Product) time.Duration {
	notes := 0
	for line := range strings.Lines(r.Tab) {
		n, _ := looks(line)
		notes += n * times(line)
	}
	tempo := r.Tempo
	if tempo == 0 {
		tempo = usualTempo
	}
	rounds := time.Duration(max(r.Repeat, 1))
	sounding := rounds * time.Duration(60/tempo*float64(min(notes, MaxNotes))*float64(VoiceSecond))
	switch of {
	case CardProduct:
		return r.OpeningCost() + cardCost
	case WAVProduct:
		return r.OpeningCost() + sounding
	case FLACProduct:
		return r.OpeningCost() + flacTimes*sounding
	}
	return r.OpeningCost() + rounds*us(12*float64(min(notes, MaxNotes)))
}

const (
	usualTempo = 100 // beats a minute, where the page does not say
	cardCost   = 17 * time.Millisecond
	flacTimes  = 14 // as long as to render
)

// looks counts what may be notes in a line, numbers and beats, and its other signs.
func looks(line string) (notes, signs int) {
	digit := false
	for i := range len(line) {
		c := line[i]
		now := c >= '0' && c <= '9'
		switch {
		case now && !digit:
			notes++
		case !now && strings.IndexByte(",.'\"/*()[]{}~|", c) >= 0:
			signs++
		}
		digit = now
	}
	return notes, signs
}

// times is how often a line says that it is played.
func times(line string) int {
	at := strings.LastIndexByte(line, 'x')
	if at < 0 || at+1 == len(line) {
		return 1
	}
	n := 0
	for _, c := range strings.TrimSpace(line[at+1:]) {
		if c < '0' || c > '9' {
			return 1
		}
		n = min(10*n+int(c-'0'), MaxRepeat)
	}
	return max(n, 1)
}

func isChordRow(line string) bool {
	const name = "chords:"
	return len(line) >= len(name) && strings.EqualFold(line[:len(name)], name)
}

// extent is what the costs of a piece depend on.
type extent struct {
	notes, voices, pairs, glides int     // of the harp; pairs of voices in large chords
	echoed                       float64 // seconds of voices in the echo of their own pitch
	backing                      int     // notes of what plays along
	seconds, voiced              float64 // of the file; of all tones in it
	beats                        float64
	rests, events                float64
	lines, words, text           float64 // all; those of words; bytes of all
	diagnostics                  float64
}

// pairsFrom is how many voices a chord has before they share many partials.
const pairsFrom = 3

func (p *Piece) extent() extent {
	e := extent{backing: len(p.score.Backing), seconds: p.score.Seconds, beats: p.score.Beats.Float(), diagnostics: float64(len(p.reported))}
	for i := range p.score.Notes {
		n := &p.score.Notes[i]
		e.notes++
		e.voices += len(n.Voices)
		e.pairs += max(0, len(n.Voices)-pairsFrom) * len(n.Voices) / 2
		e.voiced += n.Seconds * float64(len(n.Voices))
		if n.Shake || glides(n) {
			e.glides++
		}
		if p.req.Room > echoingRoom {
			e.echoed += echoed(p.score.Notes[:i], n)
		}
	}
	for i := range p.score.Backing {
		e.voiced += p.score.Backing[i].Seconds
	}
	for _, l := range p.doc.Lines {
		e.lines++
		e.text += float64(len(l.Text))
		if l.Kind == tab.TextLine && l.Text != "" {
			e.words++
		}
	}
	e.events = float64(len(p.doc.Unfold().Events))
	e.rests = max(0, e.events-float64(e.notes))
	return e
}

// How long a room is heard, in seconds, and the size from which the tail of a note
// counts for the loudness of the next. ref: synth/room, synth/loud.
const (
	echoSeconds = 0.18
	echoingRoom = 0.26
)

// echoed is for how long, in all, the voices of a note sound while their pitch, or an
// octave of it, is still heard from the notes before.
func echoed(before []score.Note, n *score.Note) (seconds float64) {
	for i := len(before) - 1; i >= 0; i-- {
		heard := min(before[i].Start+before[i].Seconds+echoSeconds-n.Start, n.Seconds)
		if heard <= 0 {
			break
		}
		for _, a := range before[i].Voices {
			for _, b := range n.Voices {
				if a.Midi == b.Midi || a.Midi == b.Midi+12 || a.Midi == b.Midi-12 {
					seconds += heard
				}
			}
		}
	}
	return seconds
}

func glides(n *score.Note) bool {
	for _, v := range n.Voices {
		if v.FromHz != v.Hz {
			return true
		}
	}
	return false
}

// PreparingCost is about what it costs to learn how loud the piece is, but for what
// has to be listened to for that, which is known in its course: [Piece.ListeningCost].
func (p *Piece) PreparingCost() time.Duration {
	e := p.extent()
	const perVoice, perPair, perGlide, perEchoed, perBacking, perSecond = 5.5, 12, 7, 600, 10.5, 12
	wide := float64(p.req.Rate) / 48000 // the more partials, the more of them meet
	return us(perVoice*float64(e.voices) + perPair*wide*wide*float64(e.pairs) + perGlide*float64(e.glides) +
		perEchoed*e.echoed + perBacking*float64(e.backing) + perSecond*e.seconds)
}

// ListeningCost is about what it costs to render so many frames of the piece and to
// measure their peaks.
func (p *Piece) ListeningCost(frames int64) time.Duration {
	const perSecond = 400.0
	seconds := float64(frames) / float64(p.req.Rate)
	e := p.extent()
	share := seconds / max(e.seconds, 1)
	return us(perSecond*seconds*float64(p.req.channels())) + time.Duration(share*float64(p.renderingCost(e)))
}

// Cost is about what it costs to make something of the piece, once it is prepared
// if that needs it.
func (p *Piece) Cost(of Product) time.Duration {
	e := p.extent()
	voices, backing, glides := float64(e.voices), float64(e.backing), float64(e.glides)
	switch of {
	case ScoreProduct:
		return us(5 + 0.6*float64(e.notes) + 0.55*voices + 0.9*backing + 0.2*e.lines + 3*e.diagnostics)
	case MIDIProduct:
		return us(10 + 1.1*voices + 2.4*glides + 0.6*backing + 2.5*e.words)
	case MusicXMLProduct:
		rounds := float64(max(p.req.Repeat, 1))
		return us(30 + (5.5*voices+1.2*float64(e.notes))/rounds + 3.2*e.rests)
	case PictureProduct:
		return us(30 + 3.8*voices + 2.1*e.beats)
	case CardProduct:
		return cardCost
	case TabProduct:
		return us(30 + 0.08*e.text + 0.25*e.lines + 0.6*min(e.events-e.rests/2, e.text/2) + 4*float64(len(p.score.Chords)))
	case PageProduct:
		return us(150 + 2.5*float64(e.notes) + 0.55*voices + 0.9*backing + 0.4*e.lines + 3*e.diagnostics)
	case FLACProduct:
		const perSecond = 4600
		coding := us(perSecond * e.seconds * float64(p.req.channels()) * float64(p.req.Rate) / 48000)
		return p.renderingCost(e) + coding
	default:
		return p.renderingCost(e)
	}
}

// renderingCost is the cost of rendering all samples.
func (p *Piece) renderingCost(e extent) time.Duration {
	const perSecond, perVoiced, perVoice = 70, 130, 12
	around := 0.0 // what the room costs a second
	switch {
	case p.req.channels() == 2 && p.req.Mix == mixSplit:
		around = 320
	case p.req.channels() == 2:
		around = 330
	case p.req.Room > 0:
		around = 110
	}
	frames := (perSecond+around)*e.seconds + perVoiced*e.voiced
	return us(200 + frames*float64(p.req.Rate)/48000 + perVoice*float64(e.voices+e.backing))
}
