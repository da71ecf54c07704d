package lexicon_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/tab/lexicon"
)

// Common practice, no source.
func TestBreath(t *testing.T) {
	for word, want := range map[string]lexicon.Meaning{
		"blow": lexicon.Blow, "Draw": lexicon.Draw, "soplar": lexicon.Blow, "ASPIRAR": lexicon.Draw, "ziehen": lexicon.Draw,
		"geblasen": lexicon.Blow, "выдох": lexicon.Blow, "вдох": lexicon.Draw, "吹": lexicon.Blow, "吸う": lexicon.Draw, "마시기": lexicon.Draw,
		"aspirée": lexicon.Draw, "Soufflé": lexicon.Blow, "wdech": lexicon.Draw, "zuigen": lexicon.Draw, "soffiato": lexicon.Blow,
	} {
		got, weak, ok := lexicon.Breath(word)
		assert.True(t, ok, word)
		assert.Equal(t, want, got, word)
		assert.False(t, weak, word)
	}
	_, weak, ok := lexicon.Breath("out")
	assert.True(t, ok)
	assert.True(t, weak)
	_, _, ok = lexicon.Breath("river")
	assert.False(t, ok)
}

// No word may say both breaths, or a legend could mean anything.
func TestNoWordIsBothBreaths(t *testing.T) {
	for _, word := range lexicon.Words() {
		assert.False(t, lexicon.Is(word, lexicon.Blow) && lexicon.Is(word, lexicon.Draw), word)
	}
}

func TestEveryLanguageHasBothBreaths(t *testing.T) {
	count := map[lexicon.Lang][2]int{}
	for _, word := range lexicon.Words() {
		for _, s := range lexicon.Senses(word) {
			n := count[s.Lang]
			switch s.Meaning {
			case lexicon.Blow:
				n[0]++
			case lexicon.Draw:
				n[1]++
			}
			count[s.Lang] = n
		}
	}
	assert.Len(t, count, 13)
	for lang, n := range count {
		assert.Positive(t, n[0], "blow in %s", lang)
		assert.Positive(t, n[1], "draw in %s", lang)
	}
}

func TestPhrase(t *testing.T) {
	senses, n := lexicon.Phrase([]string{"breathe", "in", "here"})
	assert.Equal(t, 2, n)
	assert.Equal(t, lexicon.Draw, senses[0].Meaning)
	senses, n = lexicon.Phrase([]string{"in", "brackets"})
	assert.Equal(t, 2, n)
	assert.Equal(t, lexicon.Brackets, senses[0].Meaning)
	_, n = lexicon.Phrase([]string{"river"})
	assert.Zero(t, n)
	_, n = lexicon.Phrase(nil)
	assert.Zero(t, n)
}

func TestPrefix(t *testing.T) {
	senses, n := lexicon.Prefix("吸う音")
	assert.Equal(t, len("吸う"), n)
	assert.Equal(t, lexicon.Draw, senses[0].Meaning)
	_, n = lexicon.Prefix("4吸")
	assert.Zero(t, n)
}

// The names are those of the languages' own music teaching; common practice,
// no source.
func TestPitch(t *testing.T) {
	for _, c := range []struct {
		name string
		lang lexicon.Lang
		want string
	}{
		{"A", lexicon.English, "A"},
		{"Bb", lexicon.English, "Bb"},
		{"f#", lexicon.English, "F#"},
		{"B flat", lexicon.English, "Bb"},
		{"B", lexicon.German, "Bb"},
		{"H", lexicon.German, "B"},
		{"Es", lexicon.German, "Eb"},
		{"Fis", lexicon.Polish, "F#"},
		{"Bes", lexicon.Dutch, "Bb"},
		{"B", lexicon.Dutch, "B"},
		{"La", lexicon.Spanish, "A"},
		{"Si bemol", lexicon.Portuguese, "Bb"},
		{"Sol", lexicon.Italian, "G"},
		{"Fa dièse", lexicon.French, "F#"},
		{"соль", lexicon.Russian, "G"},
		{"ми бемоль", lexicon.Russian, "Eb"},
	} {
		got, ok := lexicon.Pitch(c.name, c.lang)
		assert.True(t, ok, c.name)
		assert.Equal(t, c.want, got, "%s in %s", c.name, c.lang)
	}
	for _, name := range []string{"", "H", "river", "Am", "C major", "Es bemol"} {
		_, ok := lexicon.Pitch(name, lexicon.English)
		assert.False(t, ok, name)
	}
}
