//go:build outside

package chord_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/chord"
)

// spelled asks tonal, a general-purpose library of music theory (MIT licence, npm
// package tonal 6.4.3), which notes chords have: pitch classes, the bass first.
const spelled = `const {Chord, Note} = require("tonal");
const all = JSON.parse(require("fs").readFileSync(0, "utf8"));
const answer = all.map(symbol => {
  const c = Chord.get(symbol);
  return {notes: c.notes.map(Note.chroma), root: Note.chroma(c.tonic || ""), bass: c.bass ? Note.chroma(c.bass) : null};
});
console.log(JSON.stringify(answer));`

type spelling struct {
	Notes []int
	Root  *int
	Bass  *int
}

func tonal(t *testing.T, symbols []string) (out []spelling) {
	t.Helper()
	where, err := exec.Command("npm", "root", "--global").Output()
	require.NoError(t, err)
	asked, err := json.Marshal(symbols)
	require.NoError(t, err)
	node := exec.Command("node", "-e", spelled)
	node.Env = append(os.Environ(), "NODE_PATH="+strings.TrimSpace(string(where)))
	node.Stdin, node.Stderr = strings.NewReader(string(asked)), os.Stderr
	answer, err := node.Output()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(answer, &out))
	require.Len(t, out, len(symbols))
	return out
}

// TestSpellingsByTonal: every root with every quality, plain and over another
// bass, has the notes that tonal gives it. Left out are those it does not read,
// such as Cmi, Cø7 and C7(b9), and the two it reads otherwise: in C7b13 it has no
// fifth, and C4 is a chord of fourths.
func TestSpellingsByTonal(t *testing.T) {
	roots := strings.Fields("C C# Db D D# Eb E E# Fb F F# Gb G G# Ab A A# Bb B B# Cb")
	qualities := strings.Fields(`- m min maj M 7 maj7 M7 Maj7 Δ m7 min7 mi7 mM7 mMaj7 m7b5 ø dim dim7 ° °7 o o7 aug + 7#5 +7 aug7
		sus sus2 sus4 sus24 7sus 7sus4 9sus4 6 m6 6/9 69 m69 9 maj9 m9 add9 add2 madd9 2 11 m11 13 m13 maj13
		7b9 7#9 7b5 7#11 9b5 9#11 13b9 13#11 maj7#11 maj7#5 m#5 5 7no5 7alt`)
	var symbols []string
	for _, root := range roots {
		symbols = append(symbols, root)
		for _, quality := range qualities {
			symbols = append(symbols, root+quality)
		}
		for _, over := range []string{"/E", "m/G", "7/Bb", "maj7/F#", "m7b5/Eb", "/C#", "sus4/A"} {
			symbols = append(symbols, root+over)
		}
	}
	for i, want := range tonal(t, symbols) {
		c, err := chord.Parse(symbols[i])
		require.NoError(t, err, symbols[i])
		require.NotEmpty(t, want.Notes, "%s is not read by tonal", symbols[i])
		bass := *want.Root
		if want.Bass != nil {
			bass = *want.Bass
		}
		notes := []int{c.Bass}
		for _, tone := range c.Tones {
			notes = append(notes, (c.Root+tone)%12)
		}
		assert.Equal(t, *want.Root, c.Root, symbols[i])
		assert.Equal(t, bass, c.Bass, symbols[i])
		assert.Equal(t, set(append(want.Notes, bass)), set(notes), symbols[i])
	}
}

func set(notes []int) []int {
	slices.Sort(notes)
	return slices.Compact(notes)
}
