package sheet

import (
	"math"
	"strconv"

	"reedlark/synth/measure"
)

// track is the pitch that was heard of a wanted voice, or of two that take turns.
type track struct {
	voices []Wanted
	points []measure.Point
}

// off is how many cents a point lies off the nearest voice.
func (t track) off(p measure.Point) float64 {
	best := math.Inf(1)
	for _, v := range t.voices {
		if c := measure.Cents(p.Hz, v.at(p.Seconds)); math.Abs(c) < math.Abs(best) {
			best = c
		}
	}
	return best
}

// follow tracks every wanted voice, two that take turns as one.
func (p *page) follow() []track {
	var tracks []track
	for i := 0; i < len(p.wanted); i++ {
		t := track{voices: p.wanted[i : i+1]}
		if p.takesTurns(i) {
			t.voices = p.wanted[i : i+2]
			i++
		}
		tracks = append(tracks, p.tracked(t))
	}
	return tracks
}

func (p *page) takesTurns(i int) bool {
	return p.wanted[i].Shake && i+1 < len(p.wanted) && p.wanted[i+1].Start == p.wanted[i].Start
}

// tracked finds the pitch of a track: by its period where it sounds alone, by its
// line in the spectrum where it is one of a chord.
func (p *page) tracked(t track) track {
	n := t.voices[0]
	lo, hi := math.Inf(1), 0.0
	for _, v := range t.voices {
		lo, hi = min(lo, v.Hz, v.at(v.Start)), max(hi, v.Hz, v.at(v.Start))
	}
	offset := max(n.Start-0.01, 0)
	piece := measure.Cut(p.x, p.rate, offset, n.end()+0.01)
	if p.alone(t) {
		t.points = measure.Track(piece, p.rate, max(0.008, 2/lo), p.hop(), lo*0.8, hi*1.25)
	} else {
		t.points = measure.Follow(piece, p.rate, max(0.03, 12/lo, 6/p.nearest(t)), 2*p.hop(),
			func(at float64) float64 { return n.at(at + offset) })
	}
	for i := range t.points {
		t.points[i].Seconds += offset
	}
	return t
}

// hop is how often pitch is looked for, seconds: at every pixel of a short sound, at
// every fourth of one over 40 s, which would take long otherwise.
func (p *page) hop() float64 { return min(max(p.seconds/10, 1), 4) / p.scale }

// nearest is how many hertz lie between a track and the nearest of the voices that
// sound with it.
func (p *page) nearest(t track) float64 {
	n, least := t.voices[0], math.Inf(1)
	for _, other := range p.wanted {
		if apart := math.Abs(other.Hz - n.Hz); apart > 0 && min(n.end(), other.end()) > max(n.Start, other.Start) {
			least = min(least, apart)
		}
	}
	return max(least, 40)
}

// alone says no voice of another track sounds for long while this one does.
func (p *page) alone(t track) bool {
	n, together := t.voices[0], 0
	for _, other := range p.wanted {
		if min(n.end(), other.end())-max(n.Start, other.Start) > 0.005 {
			together++
		}
	}
	return together <= len(t.voices)
}

// clear are the stretches of a track whose pitch can be trusted: it repeats, and
// is no more than 40 dB softer than the note's loudest place.
func (t track) clear() [][]measure.Point {
	top := 1e-3
	for _, p := range t.points {
		top = max(top, p.Level)
	}
	var out [][]measure.Point
	open := false
	for _, p := range t.points {
		good := p.Clarity > 0.7 && p.Hz > 0 && p.Level > top/100
		if good && !open {
			out = append(out, nil)
		}
		if good {
			out[len(out)-1] = append(out[len(out)-1], p)
		}
		open = good
	}
	return out
}

// semitone is a pitch in semitones, A4 = 440 Hz being 69.
func semitone(hz float64) float64 { return 69 + 12*math.Log2(hz/440) }

// pitchPanel is as high as the tune is wide, from two semitones under to two over.
func (p *page) pitchPanel(top float64) panel {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, n := range p.wanted {
		for _, hz := range []float64{n.Hz, n.at(n.Start)} {
			lo, hi = min(lo, semitone(hz)), max(hi, semitone(hz))
		}
	}
	if math.IsInf(lo, 0) {
		lo, hi = 60, 72
	}
	lo, hi = math.Floor(lo)-2, math.Ceil(hi)+2
	return panel{top: top, height: min(max(160, (hi-lo)*12), 380), lo: lo, hi: hi}
}

// drawPitch draws the pitch heard, as ink, over the pitch wanted, as a band.
func (p *page) drawPitch(at panel) {
	p.text(left, at.top-6, "start", "pitch")
	names := []string{"C", "", "D", "", "E", "F", "", "G", "", "A", "", "B"}
	above := math.Inf(1) // the label before, which the next must not touch
	for n := int(at.lo); n <= int(at.hi); n++ {
		y := at.y(float64(n))
		p.line(left, y, left+p.seconds*p.scale, y, grid)
		if name := names[((n%12)+12)%12]; name != "" && above-y >= 12 {
			p.text(left-7, y+4, "end", name+strconv.Itoa(n/12-1))
			above = y
		}
	}
	for _, n := range p.wanted {
		p.path(p.course(n, at), wanted)
	}
	for _, t := range p.tracks {
		for _, part := range t.clear() {
			p.path(p.places(part, at, func(q measure.Point) float64 { return semitone(q.Hz) }), heard)
		}
	}
}

// course is the line of a wanted pitch.
func (p *page) course(n Wanted, at panel) points {
	var out points
	for i := range 41 {
		t := n.Start + n.Seconds*float64(i)/40
		out = append(out, p.at(t), at.y(semitone(n.at(t))))
	}
	return out
}

func (p *page) places(part []measure.Point, at panel, value func(measure.Point) float64) points {
	var out points
	for _, q := range part {
		out = append(out, p.at(q.Seconds), at.y(value(q)))
	}
	return out
}

// drawOff draws how many cents the pitch heard lies off the pitch wanted.
func (p *page) drawOff(at panel) {
	for _, cents := range []float64{-50, -25, 0, 25, 50} {
		y := at.y(cents)
		p.line(left, y, left+p.seconds*p.scale, y, grid)
		p.text(left-7, y+4, "end", strconv.Itoa(int(cents)))
	}
	p.text(left, at.top-6, "start", "cents off the wanted pitch")
	p.line(left, at.y(0), left+p.seconds*p.scale, at.y(0), wanted)
	for _, t := range p.tracks {
		for _, part := range t.clear() {
			p.path(p.places(part, at, t.off), heard)
		}
	}
}

// drawLevel draws the running RMS in dB.
func (p *page) drawLevel(at panel) {
	p.text(left, at.top-6, "start", "level, dB of full scale")
	for _, db := range []float64{0, -20, -40, -60} {
		y := at.y(db)
		p.line(left, y, left+p.seconds*p.scale, y, grid)
		p.text(left-7, y+4, "end", strconv.Itoa(int(db)))
	}
	env := measure.Envelope(p.x, p.rate, 0.006, 1/p.scale)
	var line points
	for i, v := range env.Value {
		line = append(line, p.at(float64(i)*env.Hop), at.y(measure.DB(max(v, 1e-6))))
	}
	p.path(line, heard)
}

// bright is from where on partials make a sound bright, Hz; faintest the level under
// which its colour is not drawn, dB under the loudest.
const (
	bright   = 2000.0
	faintest = 45.0
)

// drawTimbre draws how strong the bright part of the sound is against all of it.
func (p *page) drawTimbre(at panel) {
	p.text(left, at.top-6, "start", "colour: above 2 kHz against all, dB")
	for _, db := range []float64{0, -10, -20, -30} {
		y := at.y(db)
		p.line(left, y, left+p.seconds*p.scale, y, grid)
		p.text(left-7, y+4, "end", strconv.Itoa(int(db)))
	}
	all := measure.Envelope(p.x, p.rate, 0.012, 1/p.scale)
	high := measure.Envelope(measure.Band(p.x, p.rate, bright, 0.49*float64(p.rate)), p.rate, 0.012, 1/p.scale)
	least := 0.0
	for _, v := range all.Value {
		least = max(least, v*math.Pow(10, -faintest/20))
	}
	var line points
	for i, v := range all.Value {
		if v >= least && v > 0 && i < len(high.Value) {
			line = append(line, p.at(float64(i)*all.Hop), at.y(measure.DB(max(high.Value[i]/v, 1e-6))))
			continue
		}
		p.path(line, heard)
		line = nil
	}
	p.path(line, heard)
}
