package tab

import "unicode"

// written is a note as its characters say it, before anyone asks whether such
// a hole exists.
type written struct {
	sign         rune // - or +; 0 for none
	letter       rune // B D ↑ ↓; 0 for none
	bends        int32
	overs        int32
	shakes       int32
	before       bool // the letter or the arrow stands before the number
	early        bool // a shake stands before the mark that it goes after
	neutral      bool // a lone lower-case b after the number decided nothing
	doubled      bool // a bend was written bb
	bendAfterEnd bool // the last character is a slash
	parted       bool // that slash parts it from the next number and bends nothing
}

// plain says the number carries nothing at all.
func (w written) plain() bool {
	return w.sign == 0 && w.letter == 0 && w.bends+w.overs+w.shakes == 0
}

// dialect is what must be known of a page to cut glued notes apart.
type dialect struct {
	convention    Convention // Auto while it is not known
	lettersBefore bool       // D4, not 4D
	arrowsBefore  bool       // ↓4, not 4↓
}

// before says that in this page a letter or arrow such as r stands before its
// number.
func (d dialect) before(r rune) bool {
	if isArrow(r) {
		return d.arrowsBefore
	}
	return d.lettersBefore
}

// scanNote reads the note whose number, or the letter or arrow before it, is
// at cell i. It reports the cell after it.
func scanNote(cells []cell, i, end int, d dialect) (w written, next int, ok bool) {
	if i+1 < end && isBreath(cells[i].r) && isDigit(cells[i+1].r) {
		w.letter, w.before = unicode.ToUpper(cells[i].r), true
		i++
	}
	number := i
	i = min(skipDigits(cells, i), end)
	if number == i {
		return w, i, false
	}
	for i < end {
		shaken, pitched := w.shakes > 0, w.bends+w.overs
		eaten := w.mark(cells[i:end], d)
		if eaten == 0 {
			break
		}
		w.early = w.early || shaken && w.bends+w.overs > pitched
		i += eaten
	}
	w.bendAfterEnd = cells[i-1].r == '/'
	return w, i, true
}

// mark reads the mark that rest begins with, and says how many cells it takes.
func (w *written) mark(rest []cell, d dialect) int {
	switch r := rest[0].r; r {
	case '/', '\'':
		w.bends++
	case '"':
		w.bends += 2
	case '‴':
		w.bends += 3
	case '*', '°', 'o':
		w.overs++
	case '~':
		w.shakes++
	case 'b':
		return w.lowerB(rest, d)
	case 'B', 'D', 'd', '↑', '↓':
		if w.letter != 0 || startsNext(rest, d) {
			return 0
		}
		w.letter = unicode.ToUpper(r)
	default:
		return 0
	}
	return 1
}

// startsNext says that the letter rest begins with belongs to the number
// glued to it, as in B4D5.
func startsNext(rest []cell, d dialect) bool {
	return len(rest) > 1 && isDigit(rest[1].r) && d.before(rest[0].r)
}

// lowerB reads b after a number: a bend with signs and arrows, blow with
// letters, and undecided while nobody knows.
func (w *written) lowerB(rest []cell, d dialect) int {
	n := 1
	for n < len(rest) && rest[n].r == 'b' {
		n++
	}
	letters := d.convention == Letters
	switch {
	case n == 1 && letters && startsNext(rest, d):
		return 0
	case n == 1 && letters && w.letter == 0:
		w.letter = 'B'
		return 1
	case n == 1 && d.convention == Auto && w.letter == 0:
		w.neutral = true
	case n > 1:
		w.doubled = true
	}
	w.bends += int32(n)
	return n
}

// isBreath says that r is a letter or an arrow that tells blow from draw.
func isBreath(r rune) bool { return isLetter(r) || isArrow(r) }

func isLetter(r rune) bool { return r == 'B' || r == 'b' || r == 'D' || r == 'd' }

func isArrow(r rune) bool { return r == '↑' || r == '↓' }

// readTimes reads x2 or 2x. A number too large for any page is one too many
// for every limit.
func readTimes(cells []cell) (n int, ok bool) {
	if len(cells) < 2 {
		return 0, false
	}
	digits := cells[1:]
	if last := cells[len(cells)-1].r; last == 'x' || last == 'X' {
		digits = cells[:len(cells)-1]
	} else if cells[0].r != 'x' && cells[0].r != 'X' {
		return 0, false
	}
	if skipDigits(digits, 0) != len(digits) {
		return 0, false
	}
	return number(digits), true
}

// number is the value of digits, or a very large one where they are many.
func number(digits []cell) int {
	const most = 1_000_000
	n := 0
	for _, c := range digits {
		n = min(n*10+int(c.r-'0'), most)
	}
	return n
}
