//go:build outside

package abc_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"reedlark/api/format/abc"
	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// sounding is a note as it is played: onset and length in ticks of abc2midi.
type sounding struct{ at, length, midi int }

// played is what abc2midi (Debian package abcmidi) makes of a tune: its notes,
// without chord symbols and grace notes, read by the library gomidi.
func played(t *testing.T, text string) (out []sounding, perQuarter int, ok bool) {
	t.Helper()
	file, mid := filepath.Join(t.TempDir(), "tune.abc"), filepath.Join(t.TempDir(), "tune.mid")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	said, _ := exec.Command("abc2midi", file, "-o", mid, "-NGUI", "-NGRA", "-NFER").CombinedOutput()
	data, err := os.ReadFile(mid)
	if err != nil {
		t.Logf("abc2midi wrote nothing: %.300s", said)
		return nil, 0, false
	}
	s, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	ticks := int(s.TimeFormat.(smf.MetricTicks))
	for _, track := range s.Tracks {
		at, begun := 0, map[[2]uint8]int{}
		for _, e := range track {
			at += int(e.Delta)
			var ch, key, vel uint8
			switch m := midi.Message(e.Message); {
			case m.GetNoteStart(&ch, &key, &vel):
				begun[[2]uint8{ch, key}] = at
			case m.GetNoteEnd(&ch, &key):
				if from, on := begun[[2]uint8{ch, key}]; on && ch != 9 {
					out = append(out, sounding{from, at - from, int(key)})
					delete(begun, [2]uint8{ch, key})
				}
			}
		}
	}
	return out, ticks, true
}

// ours is what we read, unfolded.
func ours(voices []*melody.Tune, perQuarter int) (out []sounding) {
	for _, v := range voices {
		tune, _ := v.Unfold()
		for _, n := range tune.Notes {
			if n.Grace {
				continue
			}
			for _, p := range n.Pitches {
				at, end := swung(n.At, v.Swing > 0)*float64(perQuarter), swung(n.End(), v.Swing > 0)*float64(perQuarter)
				out = append(out, sounding{int(at + 0.5), int(end+0.5) - int(at+0.5), p.Midi})
			}
		}
	}
	return out
}

// swung is a time in quarters; abc2midi plays the second half of a beat of a
// hornpipe on its last third.
func swung(at beat.Time, swing bool) float64 {
	if swing && at.Mod(beat.Whole(1)) == beat.Whole(1).Over(2) {
		at = at.Plus(beat.Whole(1).Over(6))
	}
	return at.Float()
}

// same compares two lists: onsets and pitches to a few ticks, lengths too.
func same(want, got []sounding) (string, bool) {
	order := func(a, b sounding) int {
		if a.at != b.at {
			return a.at - b.at
		}
		return a.midi - b.midi
	}
	slices.SortFunc(want, order)
	slices.SortFunc(got, order)
	for i := range min(len(want), len(got)) {
		w, g := want[i], got[i]
		if w.midi != g.midi || abs(w.at-g.at) > slack || abs(w.length-g.length) > slack {
			return fmt.Sprintf("note %d of %d and %d: abc2midi %v, we %v", i, len(want), len(got), w, g), false
		}
	}
	return fmt.Sprintf("%d notes, we read %d", len(want), len(got)), len(want) == len(got)
}

// slack is what rounding makes of a tuplet, ticks of 480 a quarter.
const slack = 4

func abs(n int) int { return max(n, -n) }

// tunes cuts a book into tunes without decorations, which abc2midi plays out,
// and without the commands of its own that are no ABC (drums, drones, attacks).
// Its chords are not to be strummed.
func tunes(book string) (out []string) {
	book = strings.ToValidUTF8(strings.ReplaceAll(book, "\r", ""), "?")
	head, _, _ := strings.Cut("\n"+book, "\nX:")
	for _, at := range regexp.MustCompile(`(?m)^X:`).FindAllStringIndex(book, -1) {
		text, _, _ := strings.Cut(book[at[0]:], "\n\n")
		if next := strings.Index(text[1:], "\nX:"); next >= 0 {
			text = text[:next+1]
		}
		text = regexp.MustCompile(`(?s)%%begin(\w+).*?%%end\w+`).ReplaceAllString(text, "%")
		var lines []string
		for _, l := range strings.Split(fields(head)+text, "\n") {
			switch {
			case strings.HasPrefix(l, "%"):
			case strings.HasPrefix(l, "K:"):
				lines = append(lines, l, "%%MIDI chordattack 0")
			case len(l) > 1 && l[1] == ':' && l[0] != '|' && l[0] != ':':
				lines = append(lines, l)
			default:
				lines = append(lines, plainMusic(l))
			}
		}
		out = append(out, strings.Join(lines, "\n")+"\n")
	}
	return out
}

// fields are the lines before the first tune that hold for all.
func fields(head string) (out string) {
	for _, l := range strings.Split(head, "\n") {
		if len(l) > 1 && l[1] == ':' && strings.ContainsRune("LMQ", rune(l[0])) {
			out += l + "\n"
		}
	}
	return out
}

// plainMusic is a line of music without decorations.
func plainMusic(l string) string {
	kept := regexp.MustCompile(`"[^"]*"|\[[A-Za-z]:[^\]]*\]|%.*|![^!|]*!|\{[^}]*\}|[~H-WYh-w]|\.[^|]`)
	return kept.ReplaceAllStringFunc(l, func(m string) string {
		switch {
		case m[0] == '"' || m[0] == '[':
			return m
		case m[0] == '.':
			return plainMusic(m[1:])
		}
		return ""
	})
}

// TestAgainstAbc2midi: the tunes that the Debian packages abcmidi and abcm2ps
// have as examples, under the folder REEDLARK_TUNES where their documentation is
// not installed. Those that differ: a second repeat without its |:, which
// abc2midi begins at the head of the tune; K:C^f^c^a, of which it hears the last
// sign alone; sixteenths beside swung eighths; quarter tones; voices and overlays
// over several bars that only abcm2ps knows.
func TestAgainstAbc2midi(t *testing.T) {
	files, err := filepath.Glob(os.Getenv("REEDLARK_TUNES") + "/usr/share/doc/abc*/examples/*.abc")
	require.NoError(t, err)
	total, right := 0, 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, text := range tunes(string(data)) {
			book, err := abc.Book([]byte(text))
			require.NoError(t, err)
			e := book[0]
			want, ticks, ok := played(t, text)
			if !ok {
				continue
			}
			total++
			voices := abc.Read(e)
			diff, ok := same(want, ours(voices, ticks))
			if ok {
				right++
				continue
			}
			t.Logf("%s X:%s %q: %s", filepath.Base(file), e.Number, e.Title, diff)
		}
	}
	t.Logf("%d of %d", right, total)
	assert.Equal(t, 79, total)
	assert.GreaterOrEqual(t, right, 71)
}
