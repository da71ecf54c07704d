package abc

import (
	"sort"
	"strings"
)

// words reads w:, the words of a verse for the line of music above. ref: 2.1,
// section 5.1.
func (r *reader) words(text string) {
	if r.now == nil {
		return
	}
	v, verse := r.now, r.verses
	r.verses++
	if verse >= mostVerses {
		return
	}
	k := 0 // of the notes of the line
	for _, s := range syllables(text) {
		switch s {
		case "|":
			k = v.afterBar(k)
			continue
		case "*", "_":
		default:
			if k < len(v.sung) && v.sung[k] >= 0 {
				v.sing(v.sung[k], verse, s)
			}
		}
		k++
	}
	v.tune.Verses = max(v.tune.Verses, verse+1)
}

// mostVerses bounds the verses of a tune.
const mostVerses = 99

func (v *voice) sing(note, verse int, syllable string) {
	n := &v.tune.Notes[note]
	for len(n.Words) <= verse {
		n.Words = append(n.Words, "")
	}
	n.Words[verse] = syllable
}

// afterBar is the first note after the next bar line.
func (v *voice) afterBar(k int) int {
	i := sort.SearchInts(v.sungBars, max(k, 1))
	if i == len(v.sungBars) {
		return k
	}
	return v.sungBars[i]
}

// syllables cuts a line of words: a hyphen ends a syllable whose word goes on, *
// is a note without one, _ holds the one before, | goes to the next bar.
func syllables(text string) (out []string) {
	text = strings.ReplaceAll(text, "\\-", "\u2011") // a hyphen that ends nothing
	for _, word := range strings.Fields(strings.NewReplacer("_", " _ ", "*", " * ", "|", " | ").Replace(text)) {
		for word != "" {
			i := strings.IndexByte(word, '-')
			switch {
			case i < 0:
				out, word = append(out, unescape(word)), ""
			case i == 0:
				out, word = hyphen(out), word[1:]
			default:
				out, word = append(out, unescape(word[:i+1])), word[i+1:]
			}
		}
	}
	return out
}

// hyphen is one that stands alone: the word before goes on, or is held.
func hyphen(out []string) []string {
	if n := len(out); n > 0 && !strings.HasSuffix(out[n-1], "-") && out[n-1] != "|" && out[n-1] != "*" && out[n-1] != "_" {
		out[n-1] += "-"
		return out
	}
	return append(out, "_")
}

// unescape reads what ABC writes for letters with accents, as far as TeX's plain
// ones go, and the tilde between words.
func unescape(text string) string {
	return accents.Replace(strings.ReplaceAll(text, "\u2011", "-"))
}
