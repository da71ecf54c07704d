package notes

import (
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
	digits := r.digits(it)
	holes, ok := p.readHoles(it, digits)
	if !ok || !p.checkMarks(it, digits, len(holes)) {
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
	if !slices.Contains(holes, 0) && !repeated(holes) && slices.IsSorted(holes) {
		return holes, true
	}
	bad := diag.Problem{Severity: diag.Error, Code: diag.NoSuchHole, Span: it.Span, Values: diag.Values{diag.Text("holes", digits)}}
	bad.Edits = writes(spaced(w, holes))
	switch {
	case slices.Contains(holes, 0):
		bad.Message = "There is no hole {holes} on a ten-hole harp."
		bad.Hint, bad.Edits = tens(w, digits)
	case repeated(holes) && digits == "11":
		bad.Message = "There is no hole {holes}, and one breath cannot sound hole 1 twice."
		bad.Hint = "Write " + spaced(w, holes) + " for hole one twice. " + hintNumbers
	case repeated(holes):
		bad.Code = diag.SameHoleTwice
		bad.Message, bad.Hint = "{holes} names a hole twice, and one breath sounds each hole once.", "Write "+spaced(w, holes)+"."
	default:
		p.descending(bad, w, holes)
		return holes, true
	}
	p.Report(bad)
	return nil, false
}

// descending warns of a chord written from high to low.
func (p *reader) descending(bad diag.Problem, w scan.Written, holes []int) {
	chord, run := around(w, chordOf(holes)), spaced(w, holes)
	bad.Severity, bad.Code, bad.Message = diag.Warning, diag.DescendingChord, "{holes} is read as holes sounded together."
	bad.Hint = "Write " + chord + " for the chord, " + run + " for one after the other."
	bad.Edits = func(e *diag.Editor) {
		e.Write(chord).Keep().All("Write all such chords from low to high")
		e.Write(run)
	}
	p.Report(bad)
}

// writes offers each of some texts in place of what is wrong.
func writes(texts ...string) func(*diag.Editor) {
	return func(e *diag.Editor) {
		for _, text := range texts {
			e.Write(text)
		}
	}
}

// checkMarks checks that a note is bent or an over, that a shake comes after
// either, and that there is not too much of any.
func (p *reader) checkMarks(it *Item, digits string, holes int) bool {
	w := it.Written
	if w.Bends+w.Overs+w.Shakes == 0 {
		return true
	}
	bad := diag.Problem{Severity: diag.Error, Code: diag.MarkTwice, Span: it.Span, Edits: writes(around(w, digits))}
	switch {
	case w.Bends > 0 && w.Overs > 0:
		bent, over := w, w
		bent.Overs, over.Bends = 0, 0
		bad.Code, bad.Edits = diag.MixedMarks, writes(around(bent, digits), around(over, digits))
		bad.Message, bad.Hint = "A note can be bent or be an over, but not both at a time.", "Keep one of them: / for a bend, * for an over."
	case w.Early:
		bad.Code = diag.MixedMarks
		bad.Message, bad.Hint = "A shake is marked after the bend or the over it goes with.", "Write the ~ last, as in -3/~."
	case w.Bends > mostBend:
		bad.Code, bad.Values = diag.BendPastLimit, diag.Values{diag.Number("most", mostBend), diag.Number("bends", int(w.Bends))}
		bad.Message = "A note can be bent by {most} semitones at most, and this one asks for {bends}."
	case w.Overs > 1:
		bad.Message, bad.Hint = "A note is an over once or not at all.", "Write * once."
	case w.Shakes > 1:
		bad.Message, bad.Hint = "A note is shaken once or not at all.", "Write ~ once."
	case w.Shakes > 0 && holes > mostShaken:
		bad.Code, bad.Edits = diag.ShakeTooWide, writes(around(w, digits[:mostShaken]))
		bad.Message, bad.Hint = "A shake goes between two holes at most.", "Shake one hole or two."
	default:
		return true
	}
	p.Report(bad)
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

// tens is what to write for digits that were meant as notes with a hole ten
// among them, such as 109, as a hint and as edits.
func tens(w scan.Written, digits string) (hint string, edits func(*diag.Editor)) {
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
		return hintNumbers, nil
	}
	run, chord := spaced(w, holes), around(w, chordOf(holes))
	hint = "Write " + run + " for one after the other"
	if repeated(holes) {
		return hint + ". " + hintNumbers, writes(run)
	}
	return hint + ", " + chord + " for all together. " + hintNumbers, writes(run, chord)
}

// chordOf writes holes as the chord they make, the lowest first.
func chordOf(holes []int) string {
	return strings.ReplaceAll(spaced(scan.Written{}, slices.Sorted(slices.Values(holes))), " ", "")
}
