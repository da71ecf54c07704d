package picture

import (
	"fmt"
	"strconv"
	"strings"

	"reedlark/tab/score"
)

// label is a voice as tab has it: "4", "-3//", "6*", in brackets if it was.
func label(n score.Note, v score.Voice) string {
	text := sign(v)
	if n.Role == score.Filler {
		return "(" + text + ")"
	}
	return text
}

func sign(v score.Voice) string {
	text := strconv.Itoa(v.Hole)
	if v.Breath == score.Draw {
		text = "-" + text
	}
	switch v.Technique {
	case score.Bend:
		text += strings.Repeat("/", v.Semitones)
	case score.Over:
		text += "*"
	}
	return text
}

// caption is a note in words, shown where a pointer rests: "-3//: A4".
func caption(n score.Note) string {
	var signs, names []string
	for _, v := range n.Voices {
		signs, names = append(signs, sign(v)), append(names, v.Name)
	}
	return strings.Join(signs, " ") + ": " + strings.Join(names, " ")
}

// name is what the picture is called.
func name(s *score.Score) string {
	if s.Title == "" {
		return "Harmonica tab as a picture"
	}
	return s.Title
}

// mostWords is how many notes the words for a picture list; the rest is counted.
const mostWords = 200

// inWords is the picture for those who cannot see it: what is played, and the
// notes in order.
func inWords(s *score.Score) string {
	var b strings.Builder
	b.WriteString(setting(s) + ". ")
	count := 0
	for _, n := range s.Notes {
		if n.Role == score.Slide {
			continue
		}
		if count++; count <= mostWords {
			b.WriteString(spoken(n) + ", ")
		}
	}
	if count > mostWords {
		fmt.Fprintf(&b, "and %d more notes, ", count-mostWords)
	}
	return strings.TrimSuffix(b.String(), ", ") + "."
}

// setting is the harp and the tempo: "Harp in C, 100 beats a minute, 4/4".
func setting(s *score.Score) string {
	text := fmt.Sprintf("Harp in %s, %g beats a minute", s.Harp.Key, s.Tempo)
	if s.Metre != "" {
		text += ", " + s.Metre
	}
	return text
}

// spoken is a note said aloud: "4 blow", "3 draw bent by 2", "4 and 5 draw".
func spoken(n score.Note) string {
	var holes []string
	for _, v := range n.Voices {
		holes = append(holes, strconv.Itoa(v.Hole))
	}
	v := n.Voices[0]
	text := strings.Join(holes, " and ") + " " + string(v.Breath)
	switch {
	case v.Technique == score.Bend:
		text += " bent by " + strconv.Itoa(v.Semitones)
	case v.Technique == score.Over && v.Breath == score.Blow:
		text = holes[0] + " overblow"
	case v.Technique == score.Over:
		text = holes[0] + " overdraw"
	}
	if n.Shake {
		text += " shaken"
	}
	return text
}
