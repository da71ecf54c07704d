// Package lexicon is the vocabulary that tab pages use around the notes, in the
// languages players write: the words for blowing and drawing, for bends and
// holds, for the harp, its key and the tempo, and the names of notes and marks.
//
// The table is common practice, with no published source. A word may have more
// than one sense (“is” joins a mark and its meaning in English and in Dutch),
// so a look-up returns all of them and the caller decides by context.
//
// Words are compared in lower case. Phrases of several words are separated by
// one blank. Chinese, Japanese and Korean are written without blanks between a
// number and a word, so [Prefix] finds a word at the start of a longer text.
package lexicon

import (
	"strings"
	"sync"
	"unicode/utf8"
)

// Lang is a language by its ISO 639-1 code.
type Lang string

// The languages of the table. Indonesian has breath words only.
const (
	English    Lang = "en"
	Spanish    Lang = "es"
	Portuguese Lang = "pt"
	French     Lang = "fr"
	Italian    Lang = "it"
	German     Lang = "de"
	Dutch      Lang = "nl"
	Polish     Lang = "pl"
	Russian    Lang = "ru"
	Chinese    Lang = "zh"
	Japanese   Lang = "ja"
	Korean     Lang = "ko"
	Indonesian Lang = "id"
)

// Meaning is what a word stands for on a page of tab.
type Meaning uint8

// The meanings.
const (
	Blow      Meaning = iota + 1 // air out
	Draw                         // air in
	Bend                         // a note bent down
	Over                         // an overblow or overdraw
	Half                         // a semitone of bend
	Whole                        // two semitones of bend
	Hold                         // a note held longer
	Rest                         // silence
	Repeat                       // play again
	Slide                        // a slide between notes
	Shake                        // a shake, warble or trill
	Together                     // notes sounded together
	Optional                     // notes that may be left out
	Harp                         // the instrument
	Key                          // the key of a harp or a song
	Position                     // the position a song is played in
	Tempo                        // beats a minute
	Metre                        // the time signature
	Means                        // joins a mark and its meaning
	Minus                        // the mark -
	Plus                         // the mark +
	Dot                          // the mark .
	Underline                    // a number with a line under it, or the mark _
	Circle                       // a number in a circle
	Brackets                     // a number in brackets
	ArrowUp                      // the mark ↑
	ArrowDown                    // the mark ↓
	Star                         // the mark *
	Quote                        // the mark '
	Slash                        // the mark /
	Caret                        // the mark ^
	Numbers                      // the numbers of the holes
	Without                      // numbers that carry no mark
	Month                        // the name of a month
	For                          // what the page is for: for G harp
	Part                         // a part of a tune: verse, chorus
)

// Sense is one meaning of a word in one language.
type Sense struct {
	Meaning Meaning
	Lang    Lang
	// Weak marks a word too common to count outside an explicit definition:
	// “in”, “out” and “over”.
	Weak bool
}

// index is the table by word, made at the first look-up.
var index = sync.OnceValues(func() (map[string][]Sense, int) {
	byWord := make(map[string][]Sense, 2*len(table))
	longest := 0
	for _, row := range table {
		for word := range strings.SplitSeq(row.words, ",") {
			word, weak := strings.CutSuffix(strings.TrimSpace(word), "?")
			byWord[word] = append(byWord[word], Sense{row.meaning, row.lang, weak})
			longest = max(longest, strings.Count(word, " ")+1)
		}
	}
	return byWord, longest
})

// Senses is every sense of a word or phrase, none for an unknown one. The word
// is compared in lower case.
func Senses(word string) []Sense {
	byWord, _ := index()
	return byWord[strings.ToLower(word)]
}

// Is reports whether a word has the meaning in any language.
func Is(word string, m Meaning) bool {
	for _, s := range Senses(word) {
		if s.Meaning == m {
			return true
		}
	}
	return false
}

// Breath reports whether a word names a breath: Blow or Draw, and whether it is
// a weak word such as “in”. No word of the table names both.
func Breath(word string) (m Meaning, weak, ok bool) {
	for _, s := range Senses(word) {
		if s.Meaning == Blow || s.Meaning == Draw {
			return s.Meaning, s.Weak, true
		}
	}
	return 0, false, false
}

// Phrase is the longest phrase of the table that the words begin with, and how
// many of the words it takes; n is 0 where there is none.
func Phrase(words []string) (senses []Sense, n int) {
	_, longest := index()
	for n = min(longest, len(words)); n > 0; n-- {
		if senses = Senses(strings.Join(words[:n], " ")); senses != nil {
			return senses, n
		}
	}
	return nil, 0
}

// longestPrefix is how many characters Prefix looks at, at most; the longest
// word of a script without blanks has fewer.
const longestPrefix = 8

// Prefix is the longest word of the table at the start of s, and its length in
// bytes; n is 0 where there is none. It is meant for scripts without blanks.
func Prefix(s string) (senses []Sense, n int) {
	end := 0
	for count := 0; count < longestPrefix && end < len(s); count++ {
		_, size := utf8.DecodeRuneInString(s[end:])
		end += size
		if found := Senses(s[:end]); found != nil {
			senses, n = found, end
		}
	}
	return senses, n
}
