package main

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The first bytes of each kind of file. ref: RFC 9639, Standard MIDI Files 1.0.
const (
	wavMark  = "RIFF"
	flacMark = "fLaC"
	midiMark = "MThd"
	xmlMark  = "<?xml"
)

func begins(t *testing.T, name, mark string) {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(text), mark), "%s begins with %.8q", name, text)
}

func TestSoundsOfEitherKind(t *testing.T) {
	folder(t, map[string]string{"a.txt": good, "b.txt": good})
	for _, args := range []string{
		"render a.txt", "render a.txt -o named.flac", "render a.txt b.txt --format flac", "render a.txt --format wav -o odd.flac",
	} {
		require.Equal(t, 0, call(t, "", strings.Fields(args)...).code, args)
	}
	for name, mark := range map[string]string{"a.wav": wavMark, "named.flac": flacMark, "a.flac": flacMark, "b.flac": flacMark, "odd.flac": wavMark} {
		begins(t, name, mark)
	}
	assert.True(t, strings.HasPrefix(call(t, good, "render", "-", "--format", "flac").out, flacMark))
}

func TestScoresOfEveryKind(t *testing.T) {
	folder(t, map[string]string{"a.txt": "Harp: G\n" + good})
	got := call(t, "", "score", "a.txt", "--midi", "a.mid", "--musicxml", "a.musicxml", "--for-c", "-o", "a.json")
	require.Equal(t, result{}, got)
	for name, mark := range map[string]string{"a.mid": midiMark, "a.musicxml": xmlMark, "a.json": "{"} {
		begins(t, name, mark)
	}
	text, err := os.ReadFile("a.musicxml")
	require.NoError(t, err)
	assert.Contains(t, string(text), "<chromatic>-5</chromatic>")
	for args, mark := range map[string]string{
		"score a.txt": "{", "score a.txt --midi -": midiMark, "score a.txt --format midi": midiMark, "score a.txt --format musicxml": xmlMark, "score a.txt --midi b.mid": "",
	} {
		got := call(t, "", strings.Fields(args)...)
		assert.Zero(t, got.code, args)
		assert.Equal(t, mark, got.out[:min(len(mark), len(got.out))], args)
	}
	assert.Empty(t, call(t, "", "score", "a.txt", "--midi", "b.mid").out, "JSON only where it is asked for, or nothing else is")
}

func TestWhatWouldLoseAFile(t *testing.T) {
	folder(t, map[string]string{"a.txt": good, "b.txt": good, "c.TAB": good})
	for _, args := range []string{
		"score a.txt --midi a.txt", "score a.txt --midi x --musicxml x", "score a.txt --midi - -o -",
		"score a.txt --midi b.txt", "score a.txt --musicxml c.TAB", "score a.txt -o b.txt", "check a.txt --sarif a.txt",
		"practice a.txt -o b.txt", "render a.txt --picture b.txt", "render a.txt --picture c.TAB --stems parts",
	} {
		got := call(t, "", strings.Fields(args)...)
		assert.Equal(t, 2, got.code, args)
		assert.Contains(t, got.err, "would", args)
	}
	assert.Equal(t, []string{"a.txt", "b.txt", "c.TAB"}, names(t, "."))
	for _, name := range names(t, ".") {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		assert.Equal(t, good, string(text))
	}
}
