package scan

import (
	"unicode"

	"reedlark/tab/tree"
)

// Written is a note as its characters say it, before anyone asks whether such
// a hole exists.
type Written struct {
	Sign                 rune // - or +; 0 for none
	Letter               rune // B D ↑ ↓; 0 for none
	Bends, Overs, Shakes int32
	Before               bool // the letter or the arrow stands before the number
	Early                bool // a shake stands before the mark that it goes after
	SlashEnds            bool // the last character is a slash
	Parted               bool // that slash parts it from the next number and bends nothing
	neutral              bool // a lone lower-case b after the number decided nothing
	doubled              bool // a bend was written bb
}

// Plain reports whether the number carries nothing at all.
func (w Written) Plain() bool {
	return w.Sign == 0 && w.Letter == 0 && w.Bends+w.Overs+w.Shakes == 0
}

// dialect is what the lexer must know of a page to cut notes apart that touch.
type dialect struct {
	convention    tree.Convention // tree.Auto while it is not known
	lettersBefore bool            // D4, not 4D
	arrowsBefore  bool            // ↓4, not 4↓
}

// before reports whether this page writes letters or arrows such as r before
// the number.
func (d dialect) before(r rune) bool {
	if isArrow(r) {
		return d.arrowsBefore
	}
	return d.lettersBefore
}

// lexNote reads the note whose number, or the letter or arrow before it, is
// at cell i. It reports the cell after it.
func lexNote(cells Cells, i, end int, d dialect) (w Written, next int, ok bool) {
	if i+1 < end && isBreath(cells[i].R) && IsDigit(cells[i+1].R) {
		w.Letter, w.Before = unicode.ToUpper(cells[i].R), true
		i++
	}
	number := i
	i = min(cells.SkipDigits(i), end)
	if number == i {
		return w, i, false
	}
	for i < end {
		shaken, pitched := w.Shakes > 0, w.Bends+w.Overs
		eaten := w.mark(cells[i:end], d)
		if eaten == 0 {
			break
		}
		w.Early = w.Early || shaken && w.Bends+w.Overs > pitched
		i += eaten
	}
	w.SlashEnds = cells[i-1].R == '/'
	return w, i, true
}

// mark reads the mark that rest begins with, and says how many cells it takes.
func (w *Written) mark(rest Cells, d dialect) int {
	switch r := rest[0].R; r {
	case '/', '\'':
		w.Bends++
	case '"':
		w.Bends += 2
	case '‴':
		w.Bends += 3
	case '*', '°', 'o':
		w.Overs++
	case '~':
		w.Shakes++
	case 'b':
		return w.lowerB(rest, d)
	case 'B', 'D', 'd', '↑', '↓':
		if w.Letter != 0 || startsNext(rest, d) {
			return 0
		}
		w.Letter = unicode.ToUpper(r)
	default:
		return 0
	}
	return 1
}

// startsNext reports whether the letter rest begins with belongs to the number
// that touches it, as in B4D5.
func startsNext(rest Cells, d dialect) bool {
	return len(rest) > 1 && IsDigit(rest[1].R) && d.before(rest[0].R)
}

// lowerB reads b after a number: a bend with signs and arrows, blow with
// letters, and undecided before the convention is known.
func (w *Written) lowerB(rest Cells, d dialect) int {
	n := 1
	for n < len(rest) && rest[n].R == 'b' {
		n++
	}
	letters := d.convention == tree.Letters
	switch {
	case n == 1 && letters && startsNext(rest, d):
		return 0
	case n == 1 && letters && w.Letter == 0:
		w.Letter = 'B'
		return 1
	case n == 1 && d.convention == tree.Auto && w.Letter == 0:
		w.neutral = true
	case n > 1:
		w.doubled = true
	}
	w.Bends += int32(n)
	return n
}

// isBreath reports whether r is a letter or an arrow for blow or draw.
func isBreath(r rune) bool { return isLetter(r) || isArrow(r) }

func isLetter(r rune) bool { return r == 'B' || r == 'b' || r == 'D' || r == 'd' }

func isArrow(r rune) bool { return r == '↑' || r == '↓' }

// Bare reports whether the number has no sign, letter or arrow.
func (w *Written) Bare() bool { return w.Sign == 0 && w.Letter == 0 }

// slashAlone reports whether the number carries one slash after it and nothing else.
func (w *Written) slashAlone() bool {
	return w.Bare() && w.SlashEnds && w.Bends == 1 && w.Overs+w.Shakes == 0
}

// partAtSlashes reads the slash between two bare numbers that touch, as in 4/5,
// as a divider: a bend of the first note would need a blank after it.
func partAtSlashes(items []Item) {
	for i := 1; i < len(items); i++ {
		a, b := &items[i-1], &items[i]
		touching := a.Kind == Note && b.Kind == Note && b.Adjacent
		if touching && a.Written.slashAlone() && b.Written.Bare() {
			a.Written.Bends, a.Written.Parted = 0, true
		}
	}
}
