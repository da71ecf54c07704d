package scan

import (
	"strconv"
	"strings"

	"reedlark/tab/tree"
)

// says is what a mark stands for.
type says uint8

const (
	saysNothing says = iota
	saysBlow
	saysDraw
	saysBend
	saysOver
	saysHold
	saysTogether
	saysOptional
)

// letter is the letter of a breath; 0 for anything else.
func (s says) letter() rune {
	switch s {
	case saysBlow:
		return 'B'
	case saysDraw:
		return 'D'
	}
	return 0
}

// other is the other breath.
func (s says) other() says {
	if s == saysBlow {
		return saysDraw
	}
	return saysBlow
}

// affix is what touches a number on its two sides. The pseudo-affixes circle
// and tag are written around it.
type affix struct{ before, after string }

var (
	inCircle = affix{before: "○"}
	lineLow  = affix{after: "\u0332"}
	inRound  = affix{"(", ")"}
	inSquare = affix{"[", "]"}
)

// bare reports whether nothing touches the number.
func (a affix) bare() bool { return a == affix{} }

// brackets reports whether the number stands in brackets.
func (a affix) brackets() bool { return a == inRound || a == inSquare }

// around writes a number with the affix.
func (a affix) around(number string) string {
	if a == inCircle {
		n, _ := strconv.Atoi(number)
		return string('①' + rune(n-1))
	}
	return a.before + number + a.after
}

// sign is a way of writing and what it stands for on this page.
type sign struct {
	affix
	says  says
	bends int  // of a bend, for each time the mark is written
	word  bool // a letter or a word, which may stand on either side
}

// String is the sign with hole 4.
func (m sign) String() string { return m.around("4") }

// answers are what is known of a dialect, each mark with what it stands for.
type answers struct {
	marks     []sign
	bracketed tree.Bracketed // "" where nothing was said
	round     bool           // of which brackets it was said
	square    bool
	words     bool           // breath words beside the holes are read
	full      bool           // breath is told otherwise than by signs, letters and arrows
	apart     bool           // a dash apart from the hole behind it draws
	signed    bool           // breath is told by signs after all
	bendB     bool           // a b in brackets is a bend
	rows      map[*Line]*row // rows that another row or a label gives a breath; nil for none
	because   tree.Because
	line      int
}

// settled reports whether anything was said of one breath, a bend and so on.
func (a *answers) settled(s says) bool {
	for _, m := range a.marks {
		if m.says == s {
			return true
		}
	}
	return (s == saysDraw && a.bracketed == tree.BracketedDraw) || (s == saysBlow && a.bracketed == tree.BracketedBlow)
}

// breathed reports whether anything was said of either breath.
func (a *answers) breathed() bool { return a.settled(saysBlow) || a.settled(saysDraw) || a.words }

// find is what an affix stands for; a bare number has an affix too.
func (a *answers) find(x affix) (sign, bool) {
	for _, m := range a.marks {
		if m.affix == x || m.word && !x.bare() && (x.before == "" && x.after == m.before || x.after == "" && x.before == m.after) {
			return m, true
		}
	}
	return sign{}, false
}

// add takes in marks that were not settled by something stronger.
func (a *answers) add(because tree.Because, line int, marks ...sign) (added bool) {
	var fresh []sign
	for _, m := range marks {
		if !a.settled(m.says) {
			fresh = append(fresh, m)
		}
	}
	for _, m := range fresh {
		if m.brackets() {
			a.bracket(m)
			continue
		}
		a.marks = append(a.marks, m)
	}
	if len(fresh) > 0 {
		a.reason(because, line)
	}
	return len(fresh) > 0
}

// bracket takes in what brackets stand for.
func (a *answers) bracket(m sign) {
	meanings := map[says]tree.Bracketed{saysBlow: tree.BracketedBlow, saysDraw: tree.BracketedDraw, saysTogether: tree.BracketedTogether, saysOptional: tree.BracketedOptional}
	if a.bracketed == "" || a.bracketed == meanings[m.says] {
		a.bracketed = meanings[m.says]
		a.round, a.square = a.round || m.affix == inRound, a.square || m.affix == inSquare
	}
}

func (a *answers) reason(because tree.Because, line int) {
	if a.because == "" {
		a.because, a.line = because, line
	}
}

// markOf is the mark of one of the questions with hole 4; "" for none.
func (a *answers) markOf(s says) string {
	var out []string
	for _, m := range a.marks {
		if m.says == s {
			out = append(out, m.String())
		}
	}
	return strings.Join(out, " ")
}

// bracketLetter is the breath that a bracket gives its holes; 0 for none.
func (a *answers) bracketLetter(opener rune) rune {
	if opener == '(' && !a.round || opener == '[' && !a.square {
		return 0
	}
	switch a.bracketed {
	case tree.BracketedDraw:
		return 'D'
	case tree.BracketedBlow:
		return 'B'
	}
	return 0
}

// unusual reports whether a mark is not read so where nobody says anything.
func (m sign) unusual() bool {
	if m.brackets() {
		return m.says != saysOptional
	}
	return m.usual() != m.says
}
