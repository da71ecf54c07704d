package tab

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"reedlark/tab/diag"
)

const (
	lastHole    = 10 // ref: the ten-hole diatonic, common practice
	mostBend    = 12 // semitones one note may be bent
	mostShaken  = 2  // holes a shake goes between
	hintNumbers = "Holes are numbered 1 to 10."
)

// readNotes makes a Note of every number on a row, or says why it is none.
func (p *page) readNotes(r *row) {
	r.partAtSlashes()
	for i := range r.items {
		if it := &r.items[i]; it.kind == noteItem {
			it.note = p.readNote(r, it)
			r.doubt = r.doubt || it.note == nil
		}
	}
}

// readNote checks one written note; nil where it has no sensible sound.
func (p *page) readNote(r *row, it *item) *Note {
	w := it.written
	holes, ok := p.readHoles(it, r.digits(it))
	if !ok || !p.marksAgree(it, len(holes)) {
		return nil
	}
	at := it.span
	if w.parted {
		at.End = r.cells[it.to-1].span().Start
	}
	n := &Note{Span: at, Text: p.text[at.Start:at.End], Breath: Blow, Holes: holes}
	if w.sign == '-' || w.letter == 'D' || w.letter == '↓' {
		n.Breath = Draw
	}
	n.Bend, n.Over, n.Shake = int(w.bends), w.overs > 0, w.shakes > 0
	return n
}

// digits are those of a written note, after its sign, letter or arrow.
func (r *row) digits(it *item) string {
	from := it.from
	for !isDigit(r.cells[from].r) {
		from++
	}
	return words(r.cells[from:skipDigits(r.cells, from)])
}

// readHoles cuts a run of digits into holes: 45 is 4 and 5, and 10 at the end
// of a run is hole ten.
func (p *page) readHoles(it *item, digits string) ([]int, bool) {
	holes := make([]int, 0, len(digits))
	w := it.written
	body, ten := strings.CutSuffix(digits, "10")
	for _, d := range body {
		holes = append(holes, int(d-'0'))
	}
	if ten {
		holes = append(holes, lastHole)
	}
	switch {
	case slices.Contains(holes, 0):
		p.add(diag.Error, diag.NoSuchHole, it.span, w.tens(digits)+hintNumbers, fmt.Sprintf("There is no hole %s on a ten-hole harp.", shorten(digits)))
		return nil, false
	case repeated(holes) && digits == "11":
		p.add(diag.Error, diag.NoSuchHole, it.span, "Write "+w.spaced(holes)+" for hole one twice. "+hintNumbers, "There is no hole 11, and one breath cannot sound hole 1 twice.")
		return nil, false
	case repeated(holes):
		p.add(diag.Error, diag.SameHoleTwice, it.span, "Write "+w.spaced(holes)+".", fmt.Sprintf("%s names a hole twice, and one breath sounds each hole once.", shorten(digits)))
		return nil, false
	case !slices.IsSorted(holes):
		p.add(diag.Warning, diag.DescendingChord, it.span, "Write "+w.around(glued(holes))+" for the chord, "+w.spaced(holes)+" for one after the other.", fmt.Sprintf("%s is read as holes sounded together.", digits))
	}
	return holes, true
}

// marksAgree checks that a note is bent or an over, that a shake comes after
// either, and that there is not too much of any.
func (p *page) marksAgree(it *item, holes int) bool {
	w := it.written
	switch {
	case w.bends > 0 && w.overs > 0:
		p.add(diag.Error, diag.MixedMarks, it.span, "Keep one of them: / for a bend, * for an over.", "A note can be bent or be an over, but not both at a time.")
	case w.early:
		p.add(diag.Error, diag.MixedMarks, it.span, "Write the ~ last, as in -3/~.", "A shake is marked after the bend or the over it goes with.")
	case w.bends > mostBend:
		p.add(diag.Error, diag.BendPastLimit, it.span, "", fmt.Sprintf("A note can be bent by %d semitones at most, and this one asks for %d.", mostBend, w.bends))
	case w.overs > 1:
		p.add(diag.Error, diag.MarkTwice, it.span, "Write * once.", "A note is an over once or not at all.")
	case w.shakes > 1:
		p.add(diag.Error, diag.MarkTwice, it.span, "Write ~ once.", "A note is shaken once or not at all.")
	case w.shakes > 0 && holes > mostShaken:
		p.add(diag.Error, diag.ShakeTooWide, it.span, "Shake one hole or two.", "A shake goes between two holes at most.")
	default:
		return true
	}
	return false
}

// repeated says that a hole is named twice.
func repeated(holes []int) bool {
	var seen [lastHole + 1]bool
	for _, h := range holes {
		if seen[h] {
			return true
		}
		seen[h] = true
	}
	return false
}

// spaced writes holes as notes one after the other, each with the sign and the
// marks of w.
func (w written) spaced(holes []int) string {
	var b []string
	for _, h := range holes[:min(len(holes), 12)] {
		b = append(b, w.around(strconv.Itoa(h)))
	}
	return strings.Join(b, " ")
}

// around puts the sign, the letter or the arrow of w and its marks round
// another number.
func (w written) around(number string) string {
	marks := strings.Repeat("/", int(min(w.bends, mostBend))) + strings.Repeat("*", int(min(w.overs, 1))) + strings.Repeat("~", int(min(w.shakes, 1)))
	switch {
	case w.sign != 0:
		return string(w.sign) + number + marks
	case w.letter != 0 && w.before:
		return string(w.letter) + number + marks
	case w.letter != 0:
		return number + string(w.letter) + marks
	}
	return number + marks
}

// tens is a hint for digits that were meant as notes with a hole ten among
// them, such as 109; "" for others.
func (w written) tens(digits string) string {
	var holes []int
	for rest := digits; rest != ""; {
		n := 1
		if strings.HasPrefix(rest, "10") {
			n = 2
		}
		hole, _ := strconv.Atoi(rest[:n])
		holes, rest = append(holes, hole), rest[n:]
	}
	if slices.Contains(holes, 0) || len(holes) < 2 {
		return ""
	}
	hint := "Write " + w.spaced(holes) + " for one after the other"
	if !repeated(holes) {
		hint += ", " + w.around(glued(holes)) + " for all together"
	}
	return hint + ". "
}

// glued writes holes as the chord they make, the lowest first.
func glued(holes []int) string {
	return strings.ReplaceAll(written{}.spaced(slices.Sorted(slices.Values(holes))), " ", "")
}

// shorten keeps a very long word from filling a message.
func shorten(s string) string {
	const most = 24
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
