package midi_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/midi"
)

// lineFile is a file by the letter of the Standard MIDI Files 1.0, written by hand.
func lineFile(division string, track string) []byte {
	head := "MThd\x00\x00\x00\x06\x00\x00\x00\x01" + division
	return []byte(head + "MTrk\x00\x00\x00" + string(rune(len(track)+4)) + track + "\x00\xff\x2f\x00")
}

func TestLine(t *testing.T) {
	const quarters, fine = "\x00\x60", "\x01\xf4" // 96 ticks a quarter; 500: milliseconds
	for name, c := range map[string]struct {
		file []byte
		want []midi.Played
	}{
		"at the usual tempo":    {lineFile(quarters, "\x00\x90\x3c\x40\x30\x80\x3c\x40\x30\x90\x3e\x40\x60\x90\x3e\x00"), []midi.Played{{0, .25}, {.5, 1}}},
		"at a tempo of its own": {lineFile(quarters, "\x00\xff\x51\x03\x0f\x42\x40\x60\x90\x3c\x40\x60\x80\x3c\x00"), []midi.Played{{1, 2}}},
		"a chord":               {lineFile(fine, "\x00\x90\x3c\x40\x14\x90\x40\x40\x64\x80\x3c\x00\x0a\x80\x40\x00\x0a\x90\x3c\x40"), []midi.Played{{0, .13}, {.14, 0}}},
		"beside drums":          {lineFile(fine, "\x00\x99\x24\x40\x10\x99\x24\x40\x10\x90\x3c\x40\x40\x80\x3c\x00"), []midi.Played{{.032, .096}}},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := midi.Line(c.file)
			require.NoError(t, err)
			assert.InDeltaSlice(t, flat(c.want), flat(got), 1e-6)
		})
	}
	for name, file := range map[string]string{"empty": "", "words": "4 -4 5", "cut": string(lineFile(quarters, "\x00\x90\x3c"))[:20], "frames": string(lineFile("\xe7\x28", "\x00\x90\x3c\x40")), "silent": string(lineFile(quarters, ""))} {
		_, err := midi.Line([]byte(file))
		assert.Error(t, err, name)
	}
}

func flat(line []midi.Played) (out []float64) {
	for _, n := range line {
		out = append(out, n.At, n.Until)
	}
	return out
}

func FuzzLine(f *testing.F) {
	f.Add(lineFile("\x00\x60", "\x00\x90\x3c\x40\x30\x80\x3c\x40"))
	f.Add(lineFile("\xe7\x28", "\x00\x90\x3c\x40"))
	f.Fuzz(func(t *testing.T, file []byte) {
		line, err := midi.Line(file)
		if err != nil {
			return
		}
		for i, n := range line {
			assert.True(t, i == 0 || n.At > line[i-1].At)
			assert.True(t, n.Until == 0 || n.Until > n.At)
		}
	})
}
