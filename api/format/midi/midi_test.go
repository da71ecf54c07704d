package midi_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/midi"
	"reedlark/tab"
	"reedlark/tab/harp"
	"reedlark/tab/perform"
	"reedlark/tab/score"
)

// at is a note that is due.
type at struct {
	beat float64
	key  int
}

// Keys are those of the notes of a harp in C (OEIS A291810 over C4 = 60), beats
// are counted on the fingers.
func TestNotesOnTheirBeats(t *testing.T) {
	cases := []struct {
		name, page string
		set        perform.Settings
		want       []at
	}{
		{"notes, holds, a rest", "4 -4- 5 r 6\n", perform.Settings{}, []at{{0, 72}, {1, 74}, {3, 76}, {5, 79}}},
		{"three in the time of one", "{4 -4 5} 6\n", perform.Settings{}, []at{{0, 72}, {1. / 3, 74}, {2. / 3, 76}, {1, 79}}},
		{"a chord", "45 -4\n", perform.Settings{}, []at{{0, 72}, {0, 76}, {1, 74}}},
		{"swung at two thirds", "{4 -4} 5\n", perform.Settings{Swing: 2. / 3}, []at{{0, 72}, {2. / 3, 74}, {1, 76}}},
		{"twice round after a count", "4 5\n", perform.Settings{Repeat: 2, CountIn: 1}, []at{{0, 72}, {1, 76}, {2, 72}, {3, 76}}},
		{"a slide past two holes", "4 -> 7\n", perform.Settings{Tempo: 60}, []at{{0, 72}, {0.91, 76}, {0.955, 79}, {1, 84}}},
		{"a glide strikes nothing", "-3// -> -3 4\n", perform.Settings{}, []at{{0, 69}, {1, 71}, {2, 72}}},
		{"a fall strikes nothing", "4 > r 5\n", perform.Settings{}, []at{{0, 72}, {2, 76}}},
		{"filler left out", "4 (5) 6\n", perform.Settings{Brackets: perform.Skip}, []at{{0, 72}, {2, 79}}},
	}
	for _, c := range cases {
		notes := heard(t, file(t, c.page, c.set))
		require.Len(t, notes, len(c.want), c.name)
		for i, n := range notes {
			assert.Equal(t, c.want[i].key, n.key, "%s: note %d", c.name, i+1)
			assert.InDelta(t, c.want[i].beat, n.beat, .01, "%s: note %d", c.name, i+1)
			assert.Greater(t, n.beats, 0., "%s: note %d", c.name, i+1)
		}
	}
}

// A draw 3 bend (B4, MIDI 71) on a harp in C.
func TestPitchMoves(t *testing.T) {
	cases := []struct {
		name, page string
		set        perform.Settings
		note       int
		from, to   float64
	}{
		{"falls into a bend of two", "-3//--\n", perform.Settings{}, 0, 71, 69},
		{"falls further than a wheel usually reaches", "-3///--\n", perform.Settings{}, 0, 71, 68},
		{"is there at once", "-3//--\n", perform.Settings{Bends: perform.Direct}, 0, 69, 69},
		{"is let up", "-3//-- -> -3\n", perform.Settings{Bends: perform.Direct}, 0, 69, 71},
		{"ends where the next begins", "-3//-- -> -3\n", perform.Settings{Bends: perform.Direct}, 1, 71, 71},
		{"drops off", "4-- > r\n", perform.Settings{}, 0, 72, 70},
		{"a blown bend", "10//--\n", perform.Settings{}, 0, 96, 94},
		{"A4 of 442 Hz", "4\n", perform.Settings{A4: 442}, 0, 72.0785, 72.0785}, // 1200 log2(442/440) = 7.85 cents
	}
	for _, c := range cases {
		n := heard(t, file(t, c.page, c.set))[c.note]
		assert.InDelta(t, c.from, n.at(0), .001, c.name)
		assert.InDelta(t, c.to, n.at(n.beats), .005, c.name)
	}
}

// A glide never turns back and passes its half way half way in time.
func TestGlideIsSmooth(t *testing.T) {
	n := heard(t, file(t, "-3//--- -> -3\n", perform.Settings{Bends: perform.Direct, Tempo: 60}))[0]
	last := n.moves[0]
	begins := 0.0
	for i, m := range n.moves[1:] {
		assert.Greater(t, m.pitch, last.pitch)
		if i == 0 {
			begins = m.beat
		}
		last = m
	}
	assert.Less(t, last.pitch-n.moves[len(n.moves)-2].pitch, .1)
	assert.InDelta(t, 70, n.at((begins+last.beat)/2), .1)
}

// Just intonation: 4:5:6 blown, one channel for each, whatever the wheels do.
func TestChordInItsOwnTuning(t *testing.T) {
	notes := heard(t, file(t, "456-\n", perform.Settings{Tuning: harp.Just}))
	require.Len(t, notes, 3)
	root := notes[0].at(0)
	assert.InDelta(t, 12*math.Log2(5./4), notes[1].at(0)-root, .0005)
	assert.InDelta(t, 12*math.Log2(3./2), notes[2].at(0)-root, .0005)
	assert.NotEqual(t, notes[0].channel, notes[1].channel)
	assert.NotEqual(t, notes[1].channel, notes[2].channel)
}

// General MIDI keeps channel 10 for percussion: no note of a harp goes there.
func TestNoNoteOnPercussion(t *testing.T) {
	for _, n := range heard(t, file(t, "12345678910\n", perform.Settings{})) {
		assert.NotEqual(t, byte(9), n.channel)
	}
}

// 40 log10(velocity/127) dB (General MIDI Level 2): nine down is a factor 0.596.
func TestBracketsAreSofter(t *testing.T) {
	notes := heard(t, file(t, "r 4 r (4) r 4\n", perform.Settings{}))
	assert.InDelta(t, .596, float64(notes[1].velocity)/float64(notes[2].velocity), .02)
}

// metas are the data of the meta events of a kind, in order.
func metas(t *testing.T, file []byte, kind byte) (found [][]byte) {
	tracks, _ := read(t, file)
	for _, track := range tracks {
		for _, m := range track {
			if m.kind == 0xff && m.meta == kind {
				found = append(found, m.data)
			}
		}
	}
	return found
}

// Numbers of meta events, and of what is in them: Standard MIDI Files 1.0.
func TestWhatTheFileSaysOfItself(t *testing.T) {
	page := "Title: Tide and reed ñ\nHarp: A\nTempo: 120\nMetre: 6/8\n4 4 4 5 5 5\n"
	sc := played(t, page, perform.Settings{})
	out, err := midi.Write(t.Context(), sc, midi.Words{Lyrics: []string{"Tide", "", "and", "", "", "reed"}})
	require.NoError(t, err)
	assert.Equal(t, [][]byte{[]byte("Tide and reed ñ"), []byte("Harmonica in A")}, metas(t, out, 0x03))
	assert.Equal(t, [][]byte{{0x07, 0xa1, 0x20}}, metas(t, out, 0x51), "120 beats a minute are 500,000 microseconds each")
	assert.Equal(t, [][]byte{{6, 3, 24, 4}}, metas(t, out, 0x58), "6 over 2^3, a click a beat, a beat of four 32nds")
	assert.Equal(t, [][]byte{[]byte("Tide"), []byte("and"), []byte("reed")}, metas(t, out, 0x05))
}

// Bars begin on multiples of their beats, whatever comes before the first.
func TestBarsLieOnTheGrid(t *testing.T) {
	cases := []struct {
		name, page string
		pickup     float64
		set        perform.Settings
		first      float64
	}{
		{"a whole bar", "Metre: 3/4\n4 5 6\n", 0, perform.Settings{}, 0},
		{"a pick-up of one", "Metre: 3/4\n4 | 5 5 6 | 4 4\n", 1, perform.Settings{}, 2},
		{"from the second bar on", "Metre: 3/4\n4 5 6 | 6 5 4\n", 0, perform.Settings{From: &perform.Bound{Beat: 4}}, 1},
		{"after a count", "Metre: 3/4\n4 5 6\n", 0, perform.Settings{CountIn: 2}, 0},
	}
	for _, c := range cases {
		out, err := midi.Write(t.Context(), played(t, c.page, c.set), midi.Words{Pickup: c.pickup})
		require.NoError(t, err)
		assert.InDelta(t, c.first, heard(t, out)[0].beat, .001, c.name)
	}
	graced := heard(t, file(t, "Metre: 3/4\n(4)5 5 6\n", perform.Settings{}))
	assert.InDelta(t, 3, graced[1].beat, .001, "a grace note gets a bar to stand in")
	assert.Less(t, graced[0].beat, graced[1].beat)
}

// Every page of the collection comes out whole: as many notes begin as the
// score has voices, but for slides on one reed, and each at its pitch.
func TestEveryPage(t *testing.T) {
	pages, err := filepath.Glob("../../../testdata/tabs/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, pages)
	for _, name := range pages {
		page, err := os.ReadFile(name)
		require.NoError(t, err)
		sc, _ := perform.Perform(tab.Parse(string(page), tab.Options{}), perform.Settings{Bends: perform.Direct})
		if sc == nil {
			continue // a page of mistakes
		}
		out, err := midi.Write(t.Context(), sc, midi.Words{})
		require.NoError(t, err, name)
		var want, got []float64
		for _, n := range sc.Notes {
			for _, v := range n.Voices {
				if v.FromHz == v.Hz {
					want = append(want, number(v.Hz))
				}
			}
		}
		for _, n := range heard(t, out) {
			got = append(got, n.at(0))
		}
		require.Len(t, got, len(want), name)
		for i := range want {
			assert.InDelta(t, want[i], got[i], .001, "%s: note %d", name, i+1)
		}
	}
}

func TestTimesNoFileCanHold(t *testing.T) {
	for _, seconds := range []float64{math.NaN(), math.Inf(1), 1e12} {
		_, err := midi.Write(t.Context(), &score.Score{Tempo: 100, Seconds: seconds}, midi.Words{})
		assert.ErrorContains(t, err, "no file can hold", "%g", seconds)
	}
	_, err := midi.Write(t.Context(), &score.Score{Tempo: 100, Metre: "wide/4"}, midi.Words{})
	assert.ErrorContains(t, err, "no metre")
}
