package melody_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/melody"
)

// brief writes a tune down: every note as pitches@time+length, bars as times.
func brief(t *melody.Tune) (out string) {
	bar := 0
	for _, n := range t.Notes {
		for ; bar < len(t.Bars) && !n.At.Less(t.Bars[bar].At); bar++ {
			if bar > 0 {
				out += "| "
			}
		}
		for i, p := range n.Pitches {
			if i > 0 {
				out += "+"
			}
			out += fmt.Sprint(p.Midi)
		}
		out += fmt.Sprintf("@%s+%s ", n.At, n.Length)
	}
	return out
}

func TestParse(t *testing.T) {
	for text, want := range map[string]string{
		"C4 D4 F#4":                "60@0+1 62@1+1 66@2+1 ",
		" c4,d4|Bb3 ":              "60@0+1 62@1+1 | 58@2+1 ",
		"C4:1 D4:1/2 r:1 | F#4":    "60@0+1 62@1+1/2 | 66@5/2+1 ",
		"C:2 r | R:0.5 D:1.5|":     "60@0+2 | 62@7/2+3/2 ",
		"| C | | D":                "60@0+1 | 62@1+1 ",
		"C D E F G A B C":          "60@0+1 62@1+1 64@2+1 65@3+1 67@4+1 69@5+1 71@6+1 72@7+1 ",
		"G E C A5 G":               "67@0+1 64@1+1 60@2+1 81@3+1 79@4+1 ",
		"C4 F# C":                  "60@0+1 66@1+1 72@2+1 ", // the middle of an octave: upwards
		"B♭4 E♭ F♯ Cb Fb4:.5 Ebb4": "70@0+1 75@1+1 78@2+1 83@3+1 64@4+1/2 62@9/2+1 ",
		"C4\tD4\nE4\u00a0F4":       "60@0+1 62@1+1 64@2+1 65@3+1 ",
	} {
		tune, err := melody.Parse(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, brief(tune), text)
	}
}

func TestParseSaysWhatIsWrong(t *testing.T) {
	_, err := melody.Parse("C4 H4 é D4 4 C4:0 C4:x C4:1/0 C4:257 r:-1")
	for _, want := range []string{
		`at character 4: "H4" is not a note`, `at character 7: "é" is not a note`, `at character 12: "4" is not a note`,
		`at character 14: "0" is not a length`, `"x" is not a length`, `"1/0" is not a length`, `"257" is not a length`, `"-1" is not a length`,
	} {
		assert.ErrorContains(t, err, want)
	}
	for _, none := range []string{"", " | ,", "r r"} {
		_, err = melody.Parse(none)
		assert.ErrorContains(t, err, "C4 D4 F#4")
	}
}

// Whatever is typed either fails or is notes in order.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"C4 D4 F#4", "c:2 d:1/3 r | e", "B#9 | x", "\xff", "G9 G A B", "Cb-1 B", "C:999/7"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tune, err := melody.Parse(s)
		if err != nil {
			require.Nil(t, tune)
			return
		}
		for i, n := range tune.Notes {
			require.True(t, n.Pitches[0].Midi >= 0 && n.Pitches[0].Midi <= 127)
			require.False(t, tune.Length.Less(n.End()))
			if i > 0 {
				require.False(t, n.At.Less(tune.Notes[i-1].End()))
			}
		}
	})
}
