package chord

import (
	"strings"
	"unicode"
)

// common are the qualities that are offered for one that is none, the more
// usual first.
var common = []string{
	"", "m", "7", "maj7", "m7", "dim", "dim7", "aug", "sus4", "sus2", "6", "m6", "9", "m9", "maj9", "add9", "m7b5", "7sus4",
	"5", "7b9", "7#9", "7b5", "7#5", "6/9", "11", "13", "mmaj7",
}

// Nearest is the chord symbol that looks most like a text which is none. It
// keeps the root the text begins with, where it begins with one.
func Nearest(text string) string {
	root, rest := nearestRoot(text)
	best, least := "", 1<<30
	for _, quality := range common {
		if d := distance(rest, quality); d < least {
			best, least = quality, d
		}
	}
	return root + best
}

// nearestRoot is the note a text's first letter is, capital or small, and
// what of the text, no longer than a symbol, stands after it. H, as B is called
// in some languages, is B; anything else is C.
func nearestRoot(text string) (root, rest string) {
	runes := []rune(strings.TrimLeftFunc(text, func(r rune) bool { return !unicode.IsLetter(r) }))
	runes = []rune(strings.NewReplacer("♯", "#", "♭", "b").Replace(string(runes[:min(len(runes), Longest)])))
	if len(runes) == 0 {
		return "C", ""
	}
	letter := strings.ToUpper(string(runes[:1]))
	switch {
	case letter == "H":
		letter = "B"
	case !strings.Contains("ABCDEFG", letter):
		return "C", strings.ToLower(string(runes))
	}
	runes = runes[1:]
	if len(runes) > 0 && (runes[0] == '#' || runes[0] == 'b') {
		letter += string(runes[0])
		runes = runes[1:]
	}
	rest, _, _ = strings.Cut(string(runes), "/")
	return letter, rest
}

// distance is how many characters must be put in, taken out or changed to make
// one text of another. ref: V. Levenshtein, "Binary codes capable of
// correcting deletions, insertions and reversals", 1966.
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i, r := range x {
		before := row[0]
		row[0] = i + 1
		for j, s := range y {
			change := before
			if r != s {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}
