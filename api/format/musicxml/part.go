package musicxml

import (
	"fmt"
	"strconv"
	"strings"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// partReader reads the measures of a part.
type partReader struct {
	name   string
	bars   []melody.Bar
	chords []melody.Chord
	voices map[string]*melody.Tune
	order  []string     // of the voices
	last   *melody.Tune // the voice of the last note, for what sounds with it

	divisions int64 // of a quarter
	metre     melody.Metre
	key       *melody.Key
	transpose int
	tempo     float64
	swing     bool
	words     string // what the directions say of where to go on
	verses    int

	start, at, end beat.Time // of the measure: its start, where the reading is, how far it came
	remarks        map[string]bool
}

func newPart() *partReader {
	return &partReader{divisions: 1, voices: map[string]*melody.Tune{}, remarks: map[string]bool{}}
}

// bar is the measure being read.
func (p *partReader) bar() *melody.Bar { return &p.bars[len(p.bars)-1] }

// measure reads one measure.
func (p *partReader) measure(items []element, number string, implicit bool, line int) error {
	p.start = p.end
	p.at = p.start
	joined := implicit && len(p.bars) > 0 && p.metre.Unit == 0 // cut only because a measure has to end somewhere
	if implicit && len(p.bars) == 0 {
		number = "0"
	}
	if !joined {
		p.bars = append(p.bars, melody.Bar{At: p.start, Number: strings.TrimSpace(number), Metre: p.metre, Place: melody.Place{Line: line}})
	}
	for i := range items {
		if err := p.item(&items[i]); err != nil {
			return fmt.Errorf("<%s>: %w", items[i].XMLName.Local, err)
		}
		p.end = beat.Max(p.end, p.at)
	}
	if p.end == p.start { // a measure that nothing is written into
		p.end = p.start.Plus(p.metre.Length())
	}
	return nil
}

func (p *partReader) item(e *element) error {
	switch e.XMLName.Local {
	case "note":
		return p.note(e)
	case "backup":
		back, ok := quarters(e.Duration, p.divisions)
		if !ok {
			return fmt.Errorf("its duration is %q, not a number of divisions", e.Duration)
		}
		p.at = beat.Max(p.at.Minus(back), p.start)
	case "forward":
		on, ok := quarters(e.Duration, p.divisions)
		if !ok {
			return fmt.Errorf("its duration is %q, not a number of divisions", e.Duration)
		}
		p.at = p.at.Plus(on)
	case "attributes":
		return p.attributes(e)
	case "direction":
		p.direction(e)
	case "sound":
		p.sound(&e.soundRead)
	case "harmony":
		p.harmony(e)
	case "barline":
		p.barline(e)
	}
	return nil
}

// note reads a note, or a rest.
func (p *partReader) note(e *element) error {
	length := beat.Time{}
	if e.Grace == nil {
		var ok bool
		if length, ok = quarters(e.Duration, p.divisions); !ok {
			return fmt.Errorf("its duration is %q, not a number of divisions", e.Duration)
		}
	}
	from := p.at
	if e.Chord == nil {
		p.at = p.at.Plus(length)
	}
	if e.Pitch == nil || e.Cue != nil || length.Sign() == 0 && e.Grace == nil {
		return nil
	}
	pitch, err := p.pitch(e.Pitch)
	if err != nil {
		return err
	}
	voice, err := p.voice(strings.TrimSpace(e.Voice))
	if err != nil {
		return err
	}
	if e.Chord != nil {
		p.together(pitch)
		return nil
	}
	n := melody.Note{At: from, Length: length, Pitches: []melody.Pitch{pitch}, Grace: e.Grace != nil, Place: p.bar().Place}
	p.marks(&n, e)
	p.lyrics(&n, e)
	voice.Append(n, tied(e.Ties))
	p.last = voice
	return nil
}

func tied(ties []typed) bool {
	for _, t := range ties {
		if t.Type == "stop" {
			return true
		}
	}
	return false
}

// together adds a pitch to the last note. What a tie made longer has it already.
func (p *partReader) together(pitch melody.Pitch) {
	if p.last == nil || len(p.last.Notes) == 0 {
		return
	}
	n := &p.last.Notes[len(p.last.Notes)-1]
	at := len(n.Pitches)
	for i, other := range n.Pitches {
		if other.Midi == pitch.Midi {
			return
		}
		if other.Midi > pitch.Midi {
			at = min(at, i)
		}
	}
	pitches := append([]melody.Pitch{}, n.Pitches[:at]...)
	n.Pitches = append(append(pitches, pitch), n.Pitches[at:]...)
}

// pitch is a note at concert pitch.
func (p *partReader) pitch(e *pitchRead) (melody.Pitch, error) {
	step := strings.TrimSpace(e.Step)
	octave, err := strconv.Atoi(strings.TrimSpace(e.Octave))
	if len(step) != 1 || err != nil {
		return melody.Pitch{}, fmt.Errorf("its pitch is %q %q; it has a step from A to G and an octave from 0 to 9", step, e.Octave)
	}
	pitch, ok := melody.NewPitch(step[0], whole(e.Alter), octave)
	if ok && p.transpose != 0 {
		midi := pitch.Midi + p.transpose
		ok = midi >= 0 && midi <= 127
		pitch = melody.FromMidi(min(max(midi, 0), 127), p.fifths())
	}
	if !ok {
		return pitch, fmt.Errorf("there is no note %s with the alteration %q in octave %d", step, e.Alter, octave)
	}
	return pitch, nil
}

func (p *partReader) fifths() int {
	if p.key == nil {
		return 0
	}
	return p.key.Fifths
}

// voice is one of the part's voices.
func (p *partReader) voice(id string) (*melody.Tune, error) {
	if t := p.voices[id]; t != nil {
		return t, nil
	}
	if len(p.order) >= mostParts {
		return nil, fmt.Errorf("the part has more than %d voices", mostParts)
	}
	p.voices[id] = &melody.Tune{}
	p.order = append(p.order, id)
	return p.voices[id], nil
}

// marks reads what is said of how a note is played.
func (p *partReader) marks(n *melody.Note, e *element) {
	n.Optional = e.Notehead.Parentheses == "yes"
	for _, all := range e.Notations {
		for _, s := range append(all.Glissandos, all.Slides...) {
			n.Slide.To = n.Slide.To || s.Type == "start"
		}
		n.Shake = n.Shake || len(all.Shakes)+len(all.Trills) > 0
		if len(all.Holes) > 0 {
			n.Fingering = strings.TrimSpace(all.Holes[0])
		}
		for _, a := range all.Marks {
			n.Slide.In = n.Slide.In || a.Scoop != nil
			n.Slide.Fall = n.Slide.Fall || a.Falloff != nil
			n.Breath = n.Breath || a.Breath != nil
		}
	}
}

// mostVerses bounds the verses of a note.
const mostVerses = 99

// lyrics reads the words of each verse.
func (p *partReader) lyrics(n *melody.Note, e *element) {
	for i, l := range e.Lyrics {
		verse := whole(l.Number)
		if verse < 1 || verse > mostVerses {
			verse = min(i+1, mostVerses)
		}
		for len(n.Words) < verse {
			n.Words = append(n.Words, "")
		}
		text := strings.Join(strings.Fields(strings.Join(l.Text, " ")), " ")
		if s := l.Syllabic; text != "" && len(s) > 0 && (s[len(s)-1] == "begin" || s[len(s)-1] == "middle") {
			text += "-"
		}
		n.Words[verse-1] = text
		p.verses = max(p.verses, verse)
	}
}

// finish makes a tune of every voice.
func (p *partReader) finish() []*melody.Tune {
	var out []*melody.Tune
	for i, id := range p.order {
		t := p.voices[id]
		t.Part, t.Instrument = p.name, p.name
		if i > 0 {
			t.Part = strings.TrimSpace(p.name + " voice " + id)
		}
		t.Tempo, t.Key, t.Verses = p.tempo, p.key, p.verses
		if p.swing {
			t.Swing = melody.UsualSwing
		}
		t.Bars, t.Chords, t.Length = append([]melody.Bar{}, p.bars...), p.chords, p.end
		if cut := t.Settle(); cut > 0 {
			t.Remarks = append(t.Remarks, fmt.Sprintf("%d notes that sound into the next are cut where it begins", cut))
		}
		p.jumps(t)
		t.TidyRepeats()
		out = append(out, t)
	}
	return out
}
