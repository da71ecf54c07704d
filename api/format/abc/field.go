package abc

import (
	"regexp"
	"strconv"
	"strings"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// fraction reads "3/4"; ok is false for what is none or is out of all bounds.
func fraction(text string) (n, d int, ok bool) {
	above, below, cut := strings.Cut(strings.TrimSpace(text), "/")
	n, errN := strconv.Atoi(strings.TrimSpace(above))
	d, errD := 1, error(nil)
	if cut {
		d, errD = strconv.Atoi(strings.TrimSpace(below))
	}
	const most = 1024
	return n, d, errN == nil && errD == nil && n > 0 && d > 0 && n <= most && d <= most
}

// setMetre reads M:. ref: 2.1, section 3.1.6.
func (r *reader) setMetre(text string) {
	s := r.state()
	m, ok := parseMetre(text)
	if !ok && !strings.EqualFold(text, "none") && text != "" {
		r.remark("M:%s is no metre that can be read, so the tune has none from here on", text)
	}
	s.metre, s.free = m, !ok
	if !s.unitGiven {
		s.unit = usualUnit(m)
	}
	if r.now != nil {
		r.now.changeMetre()
	}
}

func parseMetre(text string) (melody.Metre, bool) {
	text, _, _ = strings.Cut(strings.TrimSpace(text), " ")
	switch text {
	case "C":
		return melody.Metre{Beats: 4, Unit: 4}, true
	case "C|":
		return melody.Metre{Beats: 2, Unit: 2}, true
	}
	above, below, _ := strings.Cut(strings.NewReplacer("(", "", ")", "").Replace(text), "/")
	sum := 0
	for _, part := range strings.Split(above, "+") {
		n, _, ok := fraction(part)
		if !ok {
			return melody.Metre{}, false
		}
		sum += n
	}
	unit, err := strconv.Atoi(strings.TrimSpace(below))
	known := unit == 1 || unit == 2 || unit == 4 || unit == 8 || unit == 16
	if err != nil || !known || sum > 64 {
		return melody.Metre{}, false
	}
	if unit == 1 {
		sum, unit = 2*sum, 2
	}
	return melody.Metre{Beats: sum, Unit: unit}, true
}

// usualUnit is the length of a note where L: is not given: a sixteenth in
// metres shorter than 3/4, else an eighth. ref: 2.1, section 3.1.7.
func usualUnit(m melody.Metre) beat.Time {
	if m.Unit > 0 && m.Length().Less(beat.Whole(3)) {
		return beat.Whole(1).Over(4)
	}
	return beat.Whole(1).Over(2)
}

// setUnit reads L:.
func (r *reader) setUnit(text string) {
	n, d, ok := fraction(text)
	if !ok {
		r.remark("L:%s is no length", text)
		return
	}
	s := r.state()
	s.unit, s.unitGiven = beat.Whole(4*n).Over(d), true
}

// tempo is what Q: may say: "Allegro" 1/4=120, 1/4 3/8=60, C3=40, 120.
var tempo = regexp.MustCompile(`^\s*(?:"[^"]*"\s*)?(?:((?:[0-9]+/[0-9]+\s*)+|C[0-9]*(?:/[0-9]+)?)\s*=\s*)?([0-9]{1,4}(?:\.[0-9]{1,3})?)`)

// setTempo reads Q:. The tune takes the tempo of the head, or else the first one in
// the body.
func (r *reader) setTempo(text string) {
	found := tempo.FindStringSubmatch(text)
	if found == nil {
		return // words alone
	}
	if r.inBody && r.tempo > 0 {
		r.remark("changes of tempo are left out")
		return
	}
	perMinute, _ := strconv.ParseFloat(found[2], 64)
	r.tempo = perMinute * r.tempoBeat(found[1]).Float()
}

// tempoBeat is the beat of Q: in quarters.
func (r *reader) tempoBeat(text string) (sum beat.Time) {
	if rest, old := strings.CutPrefix(text, "C"); old {
		n, d, ok := fraction(strings.TrimPrefix(rest, "="))
		if !ok {
			n, d = 1, 1
		}
		return r.state().unit.Times(n).Over(d)
	}
	for _, word := range strings.Fields(text) {
		if n, d, ok := fraction(word); ok {
			sum = sum.Plus(beat.Whole(4 * n).Over(d))
		}
	}
	if sum.Sign() == 0 {
		return beat.Whole(1) // a bare number: quarters
	}
	return sum
}

// setSymbol reads U:, a letter that stands for a decoration.
func (r *reader) setSymbol(text string) {
	letter, meaning, ok := strings.Cut(text, "=")
	if letter = strings.TrimSpace(letter); ok && len(letter) == 1 {
		r.symbols[letter[0]] = strings.Trim(strings.TrimSpace(meaning), "!+")
	}
}

// setPart reads P:, in the header the order of the parts, in the body the name
// of the one that begins.
func (r *reader) setPart(text string) {
	if !r.inBody {
		r.parts = text
		return
	}
	r.voice().part(strings.TrimSpace(text))
	for _, v := range r.voices {
		if v != r.now && v.at == r.now.at {
			v.part(strings.TrimSpace(text))
		}
	}
}

// properties reads name=value pairs, as after K: and V:.
func properties(text string) map[string]string {
	out := map[string]string{}
	for _, m := range property.FindAllStringSubmatch(text, -1) {
		out[strings.ToLower(m[1])] = strings.Trim(m[2], `"`)
	}
	return out
}

var property = regexp.MustCompile(`([A-Za-z]+)\s*=\s*("[^"]*"|[^\s"]+)`)
