package musicxml

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// attributes reads divisions, key, metre and transposition.
func (p *partReader) attributes(e *element) error {
	if text := strings.TrimSpace(e.Divisions); text != "" {
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil || n < 1 || n > maxDivisions {
			return fmt.Errorf("divisions is %q; it is a whole number from 1", text)
		}
		p.divisions = n
	}
	for _, t := range e.Transpose {
		p.transpose = whole(t.Chromatic) + 12*whole(t.Octaves)
	}
	for _, k := range e.Keys {
		if p.key == nil {
			p.setKey(k)
		}
	}
	for _, t := range e.Times {
		if err := p.time(t); err != nil {
			return err
		}
	}
	return nil
}

// setKey reads a signature, at concert pitch.
func (p *partReader) setKey(k keyRead) {
	if strings.TrimSpace(k.Fifths) == "" {
		return
	}
	fifths := max(-7, min(7, whole(k.Fifths)))
	tonic := melody.Major(fifths)
	if strings.TrimSpace(k.Mode) == "minor" {
		tonic = melody.Minor(fifths)
	}
	if p.transpose != 0 {
		tonic = ((tonic+p.transpose)%12 + 12) % 12
		fifths = (fifths + 7*p.transpose) % 12
		if fifths > 6 {
			fifths -= 12
		}
		if fifths < -6 {
			fifths += 12
		}
	}
	p.key = &melody.Key{Fifths: fifths, Tonic: tonic}
}

// time reads a metre; 3+2/8 is 5/8. It holds from this measure on.
func (p *partReader) time(t timeRead) error {
	if t.Without != nil || len(t.Beats) == 0 {
		p.metre = melody.Metre{}
		p.bar().Metre = p.metre
		return nil
	}
	sum := 0
	for _, part := range strings.Split(t.Beats[0], "+") {
		n, err := strconv.Atoi(strings.TrimSpace(part))
		if err != nil || n < 1 || n > 64 {
			return fmt.Errorf("beats is %q; it is a whole number, or some joined by +", t.Beats[0])
		}
		sum += n
	}
	if len(t.Unit) == 0 {
		return fmt.Errorf("there are beats without a beat-type")
	}
	unit, err := strconv.Atoi(strings.TrimSpace(t.Unit[0]))
	if known := unit == 1 || unit == 2 || unit == 4 || unit == 8 || unit == 16 || unit == 32; err != nil || !known || sum > 64 {
		return fmt.Errorf("beat-type is %q; it is 1, 2, 4, 8, 16 or 32", t.Unit[0])
	}
	for unit == 1 {
		sum, unit = 2*sum, 2
	}
	p.metre = melody.Metre{Beats: sum, Unit: unit}
	p.bar().Metre = p.metre
	return nil
}

// beatLengths are notes as beats of a tempo, in quarters.
var beatLengths = map[string]float64{"whole": 4, "half": 2, "quarter": 1, "eighth": 0.5, "16th": 0.25}

// direction reads a tempo and the signs of the form; other words are left out.
func (p *partReader) direction(e *element) {
	for _, d := range e.Directions {
		for _, w := range d.Words {
			p.word(w)
		}
		for _, name := range d.Rehearsal {
			if p.at == p.start {
				p.bar().Section = strings.TrimSpace(name)
			}
		}
		p.bar().Segno = p.bar().Segno || d.Segno != nil
		p.bar().Coda = p.bar().Coda || d.Coda != nil
		if m := d.Metronome; m != nil && p.tempo == 0 {
			perMinute, _ := strconv.ParseFloat(strings.TrimSpace(m.PerMinute), 64)
			length := beatLengths[m.Unit]
			if len(m.Dots) > 0 {
				length *= 1.5
			}
			p.setTempo(perMinute * length)
		}
	}
	if e.Sound != nil {
		p.sound(e.Sound)
	}
}

// setTempo keeps the first tempo, quarters a minute.
func (p *partReader) setTempo(perMinute float64) {
	if p.tempo == 0 && perMinute > 0 && perMinute < 10_000 {
		p.tempo = perMinute
	}
}

// word reads what words say of the form.
func (p *partReader) word(text string) {
	word := strings.ToLower(strings.NewReplacer(".", "", " ", "").Replace(strings.TrimSpace(text)))
	b := p.bar()
	switch {
	case word == "swing":
		p.swing = true
	case strings.HasPrefix(word, "dc") || strings.HasPrefix(word, "dacapo"):
		b.Jump.From = melody.DaCapo
		p.words += word
	case strings.HasPrefix(word, "ds") || strings.HasPrefix(word, "dalsegno"):
		b.Jump.From = melody.DalSegno
		p.words += word
	case word == "fine":
		b.Fine = true
	case word == "tocoda":
		b.ToCoda = true
	}
}

func (p *partReader) sound(s *soundRead) {
	if tempo, err := strconv.ParseFloat(strings.TrimSpace(s.Tempo), 64); err == nil {
		p.setTempo(tempo)
	}
	b := p.bar()
	b.Segno = b.Segno || s.SegnoAt != ""
	b.Coda = b.Coda || s.CodaAt != ""
	b.ToCoda = b.ToCoda || s.ToCoda != ""
	b.Fine = b.Fine || s.Fine != "" && s.Fine != "no"
	switch {
	case s.DaCapo == "yes":
		b.Jump.From = melody.DaCapo
	case s.DalSegno != "":
		b.Jump.From = melody.DalSegno
	}
}

// jumps says how far the playing goes after a jump: to the coda or the fine, if
// the piece has one, and the words do not say otherwise.
func (p *partReader) jumps(t *melody.Tune) {
	fine, coda := false, false
	for i := range t.Bars {
		fine, coda = fine || t.Bars[i].Fine, coda || t.Bars[i].ToCoda
	}
	for i := range t.Bars {
		j := &t.Bars[i].Jump
		switch {
		case j.From == melody.NoJump:
		case coda && !strings.Contains(p.words, "alfine"):
			j.Until = melody.AlCoda
		case fine && !strings.Contains(p.words, "alcoda"):
			j.Until = melody.AlFine
		}
	}
}

// barline reads repeats, endings and double bar lines.
func (p *partReader) barline(e *element) {
	b := p.bar()
	b.Segno, b.Coda = b.Segno || e.Segno != nil, b.Coda || e.Coda != nil
	for _, end := range e.Endings {
		if end.Type == "start" {
			b.Endings = passes(end.Number)
		} else {
			b.Stop = true
		}
	}
	switch {
	case e.Repeat != nil && e.Repeat.Direction == "forward":
		b.Open = true
	case e.Repeat != nil:
		b.Close = min(max(2, whole(e.Repeat.Times)), 16)
	case e.Style == "light-light" && e.Location != "left":
		b.Double = true
	}
}

// passes reads the numbers of an ending: "1", "1, 2".
func passes(text string) (out []int) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == '.' }) {
		if n, err := strconv.Atoi(word); err == nil && n > 0 && n <= 64 {
			out = append(out, n)
		}
	}
	return out
}

// harmony reads a chord symbol.
func (p *partReader) harmony(e *element) {
	if len(e.Root) == 0 || len(e.Kind) == 0 {
		return
	}
	at := p.at
	if text := strings.TrimSpace(e.Offset); text != "" {
		by, ok := quarters(strings.TrimPrefix(text, "-"), p.divisions)
		if ok && text[0] == '-' {
			by = by.Neg()
		}
		at = beat.Max(at.Plus(by), p.start)
	}
	i := sort.Search(len(p.chords), func(i int) bool { return at.Less(p.chords[i].At) })
	p.chords = append(p.chords, melody.Chord{})
	copy(p.chords[i+1:], p.chords[i:])
	p.chords[i] = melody.Chord{At: at, Symbol: symbol(e, p.transpose)}
}
