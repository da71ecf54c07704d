package notes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"reedlark/tab/diag"
	"reedlark/tab/scan"
	"reedlark/tab/tree"
)

const (
	lastHole    = 10 // ref: the ten-hole diatonic, common practice
	mostBend    = 12 // semitones one note may be bent
	mostShaken  = 2  // holes a shake goes between
	hintNumbers = "Holes are numbered 1 to 10."
)

// readNotes makes a note of every number on a row, or reports why it cannot.
func (p *reader) readNotes(r *Row) {
	for i := range r.Items {
		if it := &r.Items[i]; it.Kind == scan.Note {
			it.Note = p.readNote(r, it)
			r.Doubt = r.Doubt || it.Note == nil
		}
	}
}

// readNote checks one written note; nil where it has no sensible sound.
func (p *reader) readNote(r *Row, it *Item) *tree.Note {
	w := it.Written
	holes, ok := p.readHoles(it, r.digits(it))
	if !ok || !p.marksAgree(it, len(holes)) {
		return nil
	}
	at := it.Span
	if w.Parted {
		at.End = r.Line.Cells[it.To-1].Span().Start
	}
	n := &tree.Note{Span: at, Text: p.Text[at.Start:at.End], Breath: tree.Blow, Holes: holes}
	if w.Sign == '-' || w.Letter == 'D' || w.Letter == '↓' {
		n.Breath = tree.Draw
	}
	n.Bend, n.Over, n.Shake = int(w.Bends), w.Overs > 0, w.Shakes > 0
	return n
}

// digits are those of a written note, after its sign, letter or arrow.
func (r *Row) digits(it *Item) string {
	from := it.From
	for !scan.IsDigit(r.Line.Cells[from].R) {
		from++
	}
	return r.Line.Cells[from:r.Line.Cells.SkipDigits(from)].Text()
}

// readHoles cuts a run of digits into holes: 45 is 4 and 5, and 10 at the end
// of a run is hole ten.
func (p *reader) readHoles(it *Item, digits string) ([]int, bool) {
	holes := make([]int, 0, len(digits))
	w := it.Written
	body, ten := strings.CutSuffix(digits, "10")
	for _, d := range body {
		holes = append(holes, int(d-'0'))
	}
	if ten {
		holes = append(holes, lastHole)
	}
	switch {
	case slices.Contains(holes, 0):
		p.Add(diag.Error, diag.NoSuchHole, it.Span, tens(w, digits)+hintNumbers, fmt.Sprintf("There is no hole %s on a ten-hole harp.", diag.Shorten(digits)))
		return nil, false
	case repeated(holes) && digits == "11":
		p.Add(diag.Error, diag.NoSuchHole, it.Span, "Write "+spaced(w, holes)+" for hole one twice. "+hintNumbers, "There is no hole 11, and one breath cannot sound hole 1 twice.")
		return nil, false
	case repeated(holes):
		p.Add(diag.Error, diag.SameHoleTwice, it.Span, "Write "+spaced(w, holes)+".", fmt.Sprintf("%s names a hole twice, and one breath sounds each hole once.", diag.Shorten(digits)))
		return nil, false
	case !slices.IsSorted(holes):
		p.Add(diag.Warning, diag.DescendingChord, it.Span, "Write "+around(w, chordOf(holes))+" for the chord, "+spaced(w, holes)+" for one after the other.", fmt.Sprintf("%s is read as holes sounded together.", digits))
	}
	return holes, true
}

// marksAgree checks that a note is bent or an over, that a shake comes after
// either, and that there is not too much of any.
func (p *reader) marksAgree(it *Item, holes int) bool {
	w := it.Written
	switch {
	case w.Bends > 0 && w.Overs > 0:
		p.Add(diag.Error, diag.MixedMarks, it.Span, "Keep one of them: / for a bend, * for an over.", "A note can be bent or be an over, but not both at a time.")
	case w.Early:
		p.Add(diag.Error, diag.MixedMarks, it.Span, "Write the ~ last, as in -3/~.", "A shake is marked after the bend or the over it goes with.")
	case w.Bends > mostBend:
		p.Add(diag.Error, diag.BendPastLimit, it.Span, "", fmt.Sprintf("A note can be bent by %d semitones at most, and this one asks for %d.", mostBend, w.Bends))
	case w.Overs > 1:
		p.Add(diag.Error, diag.MarkTwice, it.Span, "Write * once.", "A note is an over once or not at all.")
	case w.Shakes > 1:
		p.Add(diag.Error, diag.MarkTwice, it.Span, "Write ~ once.", "A note is shaken once or not at all.")
	case w.Shakes > 0 && holes > mostShaken:
		p.Add(diag.Error, diag.ShakeTooWide, it.Span, "Shake one hole or two.", "A shake goes between two holes at most.")
	default:
		return true
	}
	return false
}

// repeated reports whether a hole is named twice.
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
func spaced(w scan.Written, holes []int) string {
	var b []string
	for _, h := range holes[:min(len(holes), 12)] {
		b = append(b, around(w, strconv.Itoa(h)))
	}
	return strings.Join(b, " ")
}

// around puts the sign, the letter or the arrow of w and its marks round
// another number.
func around(w scan.Written, number string) string {
	marks := strings.Repeat("/", int(min(w.Bends, mostBend))) + strings.Repeat("*", int(min(w.Overs, 1))) + strings.Repeat("~", int(min(w.Shakes, 1)))
	switch {
	case w.Sign != 0:
		return string(w.Sign) + number + marks
	case w.Letter != 0 && w.Before:
		return string(w.Letter) + number + marks
	case w.Letter != 0:
		return number + string(w.Letter) + marks
	}
	return number + marks
}

// tens is a hint for digits that were meant as notes with a hole ten among
// them, such as 109; "" for others.
func tens(w scan.Written, digits string) string {
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
	hint := "Write " + spaced(w, holes) + " for one after the other"
	if !repeated(holes) {
		hint += ", " + around(w, chordOf(holes)) + " for all together"
	}
	return hint + ". "
}

// chordOf writes holes as the chord they make, the lowest first.
func chordOf(holes []int) string {
	return strings.ReplaceAll(spaced(scan.Written{}, slices.Sorted(slices.Values(holes))), " ", "")
}
