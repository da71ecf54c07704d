package harp_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/tab/harp"
)

// FuzzParseKey: whatever is written either fails or is a harp whose own name
// reads as the same harp.
func FuzzParseKey(f *testing.F) {
	for _, s := range []string{"C", "low F", "high-G", "d♭", "Cs", "low", "\xff#", "- -"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		key, err := harp.ParseKey(s)
		if err != nil {
			require.Equal(t, harp.Key{}, key)
			return
		}
		again, err := harp.ParseKey(key.String())
		require.NoError(t, err)
		require.Equal(t, key, again)
	})
}

// FuzzParseNote: whatever is written either fails or is a note whose name, in
// either spelling, reads as the same note.
func FuzzParseNote(f *testing.F) {
	for _, s := range []string{"C4", "F#5", "Bb-1", "Gs9", "H2", "C--1", "♭4", "b"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		midi, err := harp.ParseNote(s)
		if err != nil {
			return
		}
		for _, flats := range []bool{true, false} {
			again, err := harp.ParseNote(harp.NoteName(midi, flats))
			require.NoError(t, err)
			require.Equal(t, midi, again)
		}
	})
}
