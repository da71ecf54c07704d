package harp_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/tab/harp"
)

// build puts together the harp a test asks for.
func build(t testing.TB, key, layout string, tuning harp.Tuning, a4 float64) harp.Harp {
	t.Helper()
	k, err := harp.ParseKey(key)
	require.NoError(t, err)
	l, err := harp.LayoutByName(layout)
	require.NoError(t, err)
	h, err := harp.New(k, l, tuning, a4)
	require.NoError(t, err)
	return h
}

func reeds(h harp.Harp, breath harp.Breath) (midi []int) {
	for hole := 1; hole <= harp.Holes; hole++ {
		midi = append(midi, h.Sound(hole, breath, harp.Plain, 0).Midi)
	}
	return midi
}

// OEIS A291810: semitones above hole-1 blow, blow and draw alternating.
func TestRichterIsThePublishedLayout(t *testing.T) {
	published := []int{0, 2, 4, 7, 7, 11, 12, 14, 16, 17, 19, 21, 24, 23, 28, 26, 31, 29, 36, 33}
	h := build(t, "C", "richter", harp.Equal, 440)
	blow, draw := reeds(h, harp.Blow), reeds(h, harp.Draw)
	for i := range harp.Holes {
		assert.Equal(t, 60+published[2*i], blow[i], "blow %d", i+1)
		assert.Equal(t, 60+published[2*i+1], draw[i], "draw %d", i+1)
	}
}

// The other layouts by the names of their notes (common practice, no source).
func TestOtherLayoutsByName(t *testing.T) {
	cases := []struct{ layout, blow, draw string }{
		{"country", "C4 E4 G4 C5 E5 G5 C6 E6 G6 C7", "D4 G4 B4 D5 Gb5 A5 B5 D6 F6 A6"},
		{"raised-third", "C4 E4 A4 C5 E5 G5 C6 E6 G6 C7", "D4 G4 B4 D5 F5 A5 B5 D6 F6 A6"},
		{"natural-minor", "C4 Eb4 G4 C5 Eb5 G5 C6 Eb6 G6 C7", "D4 G4 Bb4 D5 F5 A5 Bb5 D6 F6 A6"},
		{"harmonic-minor", "C4 Eb4 G4 C5 Eb5 G5 C6 Eb6 G6 C7", "D4 G4 B4 D5 F5 Ab5 B5 D6 F6 Ab6"},
		{"solo", "C4 E4 G4 C5 C5 E5 G5 C6 C6 E6", "D4 F4 A4 B4 D5 F5 A5 B5 D6 F6"},
	}
	for _, c := range cases {
		h := build(t, "C", c.layout, harp.Equal, 440)
		var blow, draw string
		for _, hole := range h.Chart() {
			blow += " " + hole.Blow.Pitch.Name
			draw += " " + hole.Draw.Pitch.Name
		}
		assert.Equal(t, " "+c.blow, blow, c.layout)
		assert.Equal(t, " "+c.draw, draw, c.layout)
	}
}

// CRC Handbook of Chemistry and Physics, section 14, "Musical scales", table 1
// (two decimals), and OEIS A329207 (ten decimals, cut off), both at A4 = 440 Hz.
func TestPrintedFrequencies(t *testing.T) {
	h := build(t, "C", "richter", harp.Equal, 440)
	cases := []struct {
		hole       int
		breath     harp.Breath
		technique  harp.Technique
		semitones  int
		name       string
		hz, within float64
	}{
		{1, harp.Blow, harp.Plain, 0, "C4", 261.63, .005},
		{1, harp.Draw, harp.Bend, 1, "Db4", 277.18, .005},
		{1, harp.Draw, harp.Plain, 0, "D4", 293.66, .005},
		{1, harp.Blow, harp.Over, 1, "Eb4", 311.13, .005},
		{2, harp.Blow, harp.Plain, 0, "E4", 329.63, .005},
		{2, harp.Draw, harp.Bend, 2, "F4", 349.23, .005},
		{7, harp.Blow, harp.Plain, 0, "C6", 1046.50, .005},
		{7, harp.Draw, harp.Over, 1, "Db6", 1108.73, .005},
		{8, harp.Draw, harp.Plain, 0, "D6", 1174.66, .005},
		{8, harp.Blow, harp.Bend, 1, "Eb6", 1244.51, .005},
		{8, harp.Blow, harp.Plain, 0, "E6", 1318.51, .005},
		{9, harp.Draw, harp.Plain, 0, "F6", 1396.91, .005},
		{1, harp.Blow, harp.Plain, 0, "C4", 261.6255653005, 1e-10},
		{1, harp.Draw, harp.Plain, 0, "D4", 293.6647679174, 1e-10},
		{2, harp.Draw, harp.Bend, 1, "Gb4", 369.9944227116, 1e-10},
		{2, harp.Draw, harp.Plain, 0, "G4", 391.9954359817, 1e-10},
		{3, harp.Draw, harp.Bend, 3, "Ab4", 415.3046975799, 1e-10},
		{3, harp.Draw, harp.Bend, 1, "Bb4", 466.1637615180, 1e-10},
		{3, harp.Draw, harp.Plain, 0, "B4", 493.8833012561, 1e-10},
	}
	for _, c := range cases {
		p := h.Sound(c.hole, c.breath, c.technique, c.semitones)
		assert.Equal(t, c.name, p.Name)
		assert.InDelta(t, c.hz, p.Hz, c.within, c.name)
		assert.InDelta(t, 0, p.Cents, 1e-9, c.name)
	}
}

// ISO 16:1975: A4 is 440 Hz; a harp in A has it on hole 4 blow.
func TestA4IsA4(t *testing.T) {
	for _, a4 := range []float64{415, 440, 442, 466} {
		p := build(t, "A", "richter", harp.Equal, a4).Sound(4, harp.Blow, harp.Plain, 0)
		assert.InDelta(t, a4, p.Hz, 1e-9)
		assert.Equal(t, 69, p.Midi)
	}
}

// 442/440 is 7.85 cents and 443/440 is 11.76 (any converter of hertz to cents).
func TestA4MovesEveryReedAlike(t *testing.T) {
	for a4, cents := range map[float64]float64{442: 7.85, 443: 11.76} {
		for _, hole := range build(t, "Eb", "richter", harp.Equal, a4).Chart() {
			assert.InDelta(t, cents, hole.Blow.Pitch.Cents, .005)
			assert.InDelta(t, cents, hole.Draw.Pitch.Cents, .005)
		}
	}
}

// Hole-1 blow of the harps makers sell (common practice, no source).
func TestRegisters(t *testing.T) {
	cases := map[string]int{
		"G": 55, "Ab": 56, "A": 57, "Bb": 58, "B": 59, "C": 60, "Db": 61, "D": 62, "Eb": 63, "E": 64, "F": 65, "F#": 66,
		"high G": 67, "low F#": 54, "low F": 53, "low E": 52, "low Eb": 51, "low D": 50, "low C": 48, "low A": 45, "low G": 43,
	}
	for name, midi := range cases {
		k, err := harp.ParseKey(name)
		require.NoError(t, err)
		assert.Equal(t, midi, k.Tonic(), name)
		assert.Equal(t, name, k.String())
	}
}

func TestKeySpellings(t *testing.T) {
	cases := map[string]string{
		"c": "C", "C#": "Db", "cs": "Db", "CS": "Db", "C♯": "Db", "d♭": "Db", "DB": "Db", "gb": "F#", "G#": "Ab", "bb": "Bb", "b": "B",
		"low-f": "low F", "LOW  F": "low F", " high g ": "high G", "Low as": "low Bb",
	}
	for written, name := range cases {
		k, err := harp.ParseKey(written)
		require.NoError(t, err, written)
		assert.Equal(t, name, k.String(), written)
	}
	for _, wrong := range []string{"", "H", "low", "low H", "C C", "mid F", "low low F", "Am", "E#", "Cb", "C##", "\xff", "♯", "-"} {
		_, err := harp.ParseKey(wrong)
		assert.ErrorContains(t, err, "C, Db, D, Eb, E, F, F#, G, Ab, A, Bb, B", wrong)
	}
}

// Which notes bend how far, and where the overs lie, from what teachers write
// up for the standard harp (common practice, no source).
func TestWhatBends(t *testing.T) {
	type hole struct {
		bends []int
		over  int
		rare  bool
	}
	want := []hole{
		{[]int{61}, 63, false},
		{[]int{66, 65}, 68, true},
		{[]int{70, 69, 68}, 72, true},
		{[]int{73}, 75, false},
		{[]int{}, 78, false},
		{[]int{80}, 82, false},
		{[]int{}, 85, false},
		{[]int{87}, 89, true},
		{[]int{90}, 92, false},
		{[]int{95, 94}, 97, false},
	}
	for i, h := range build(t, "C", "richter", harp.Equal, 440).Chart() {
		bends := []int{}
		for _, b := range h.Bends {
			bends = append(bends, b.Pitch.Midi)
		}
		assert.Equal(t, want[i], hole{bends, h.Over.Pitch.Midi, h.Over.Rare}, "hole %d", i+1)
	}
}

// With bends and the usual overs a standard harp has every semitone from its
// lowest to its highest note: 19 notes plain, 31 with bends, 38 in all.
func TestEverySemitoneOnce(t *testing.T) {
	h := build(t, "C", "richter", harp.Equal, 440)
	plain, bent, all := map[int]bool{}, map[int]bool{}, map[int]bool{}
	for midi := 60; midi <= 97; midi++ {
		for _, p := range h.Find(midi) {
			plain[midi] = plain[midi] || p.Technique == harp.Plain
			bent[midi] = bent[midi] || p.Technique != harp.Over
			all[midi] = all[midi] || !p.Rare
		}
	}
	assert.Equal(t, []int{19, 31, 38}, []int{count(plain), count(bent), count(all)})
	assert.Empty(t, h.Find(59))
	assert.Empty(t, h.Find(98))
}

func count(set map[int]bool) (n int) {
	for _, in := range set {
		if in {
			n++
		}
	}
	return n
}

// A written C on three harps (common practice, no source).
func TestWhereCLies(t *testing.T) {
	cases := []struct {
		key    string
		hole   int
		breath harp.Breath
		midi   int
	}{{"C", 1, harp.Blow, 60}, {"F", 2, harp.Draw, 72}, {"Db", 3, harp.Draw, 72}}
	for _, c := range cases {
		h := build(t, c.key, "richter", harp.Equal, 440)
		assert.Equal(t, c.midi, h.Sound(c.hole, c.breath, harp.Plain, 0).Midi, c.key)
	}
}

// ratio of two sounds of one harp.
func ratio(h harp.Harp, a, b int, breath harp.Breath) float64 {
	return h.Sound(b, breath, harp.Plain, 0).Hz / h.Sound(a, breath, harp.Plain, 0).Hz
}

// The chords of 7-limit just intonation, as tuners publish them: draw 2-3-4-5
// is 4:5:6:7 and blow 1-2-3 is 4:5:6.
func TestJustChords(t *testing.T) {
	for _, key := range []string{"C", "low F", "Bb", "F#"} {
		h := build(t, key, "richter", harp.Just, 443)
		assert.InDelta(t, 5./4, ratio(h, 2, 3, harp.Draw), 1e-12)
		assert.InDelta(t, 6./4, ratio(h, 2, 4, harp.Draw), 1e-12)
		assert.InDelta(t, 7./4, ratio(h, 2, 5, harp.Draw), 1e-12)
		assert.InDelta(t, 5./4, ratio(h, 1, 2, harp.Blow), 1e-12)
		assert.InDelta(t, 6./4, ratio(h, 1, 3, harp.Blow), 1e-12)
	}
	// A blow reed altered to the sixth is tuned to the blown chord, 5/3.
	assert.InDelta(t, 5./3, ratio(build(t, "C", "raised-third", harp.Just, 440), 1, 3, harp.Blow), 1e-12)
}

// The just ratios in cents, from any table of intervals: 9/8 203.91, 5/4
// 386.31, 21/16 470.78, 3/2 701.96, 27/16 905.87, 15/8 1088.27, 16/15 111.73,
// 6/5 315.64, 45/32 590.22, 8/5 813.69, 9/5 1017.60.
func TestJustCents(t *testing.T) {
	type reed struct {
		layout string
		hole   int
		breath harp.Breath
		cents  float64
	}
	reeds := []reed{
		{"richter", 1, harp.Blow, 0},
		{"richter", 4, harp.Draw, 3.91},
		{"richter", 5, harp.Blow, -13.69},
		{"richter", 9, harp.Draw, -29.22},
		{"richter", 2, harp.Draw, 1.96},
		{"richter", 10, harp.Draw, 5.87},
		{"richter", 7, harp.Draw, -11.73},
		{"natural-minor", 2, harp.Blow, 15.64},
		{"country", 5, harp.Draw, -9.78},
		{"harmonic-minor", 6, harp.Draw, 13.69},
		{"natural-minor", 3, harp.Draw, 17.60},
		{"raised-third", 3, harp.Blow, -15.64},
		{"solo", 3, harp.Draw, 5.87},
	}
	for _, r := range reeds {
		p := build(t, "C", r.layout, harp.Just, 440).Sound(r.hole, r.breath, harp.Plain, 0)
		assert.InDelta(t, r.cents, p.Cents, .006, "%+v", r)
	}
	flat, err := harp.CustomLayout(
		[]string{"C4", "Db4", "G4", "C5", "E5", "G5", "C6", "E6", "G6", "C7"},
		[]string{"D4", "G4", "B4", "D5", "F5", "A5", "B5", "D6", "F6", "A6"})
	require.NoError(t, err)
	h, err := harp.New(harp.Key{}, flat, harp.Just, 440)
	require.NoError(t, err)
	assert.InDelta(t, 11.73, h.Sound(2, harp.Blow, harp.Plain, 0).Cents, .006)
}

// Draw 5 of a C harp in just intonation: 21/16 of C5 (523.2511 Hz) is
// 686.767 Hz. The third of blow 4 and 5 beats at 4 f5 - 5 f4: with the printed
// 659.2551 and 523.2511 Hz that is 20.8 a second, and none when just.
func TestJustByBeats(t *testing.T) {
	just := build(t, "C", "richter", harp.Just, 440)
	assert.InDelta(t, 686.767, just.Sound(5, harp.Draw, harp.Plain, 0).Hz, .0005)
	for tuning, beats := range map[harp.Tuning]float64{harp.Equal: 20.8, harp.Just: 0} {
		h := build(t, "C", "richter", tuning, 440)
		third := 4*h.Sound(5, harp.Blow, harp.Plain, 0).Hz - 5*h.Sound(4, harp.Blow, harp.Plain, 0).Hz
		assert.InDelta(t, beats, math.Abs(third), .05, tuning)
	}
}

// Compromise tuning in whole cents (from memory).
func TestCompromiseCents(t *testing.T) {
	blow := []float64{0, -12, 1, 0, -12, 1, 0, -12, 1, 0}
	draw := []float64{2, 1, -11, 2, -12, 3, -11, 2, -12, 3}
	for i, hole := range build(t, "D", "richter", harp.Compromise, 440).Chart() {
		assert.InDelta(t, blow[i], hole.Blow.Pitch.Cents, 1e-9)
		assert.InDelta(t, draw[i], hole.Draw.Pitch.Cents, 1e-9)
	}
	raised := build(t, "C", "raised-third", harp.Compromise, 440)
	assert.InDelta(t, 0, raised.Sound(3, harp.Blow, harp.Plain, 0).Cents, 1e-9)
}

// Bends and overs keep the tuning of the reed they are made from.
func TestBendsFollowTheirReed(t *testing.T) {
	h := build(t, "C", "richter", harp.Just, 440)
	bend := h.Sound(3, harp.Draw, harp.Bend, 2)
	assert.InDelta(t, -11.73, bend.Cents, .006)
	assert.Equal(t, h.Sound(3, harp.Draw, harp.Plain, 0).Hz, bend.ReedHz)
	over := h.Sound(5, harp.Blow, harp.Over, 1)
	assert.InDelta(t, -29.22, over.Cents, .006)
	assert.Equal(t, 78, over.Midi)
	assert.Equal(t, over.Hz, over.ReedHz)
}

// The positions players count, on the circle of fifths (common practice, no source).
func TestPositions(t *testing.T) {
	cases := []struct {
		key      string
		position int
		song     string
	}{
		{"C", 1, "C"}, {"C", 2, "G"}, {"C", 3, "D"}, {"C", 7, "F#"}, {"C", 8, "Db"}, {"C", 12, "F"}, {"A", 2, "E"}, {"low F", 3, "G"},
	}
	for _, c := range cases {
		k, err := harp.ParseKey(c.key)
		require.NoError(t, err)
		assert.Equal(t, c.song, k.SongKey(c.position), "%s harp, position %d", c.key, c.position)
	}
}

func TestNames(t *testing.T) {
	for key, name := range map[string]string{"C": "Bb4", "F": "Eb5", "Db": "B4", "A": "G4", "D": "C5", "F#": "E5"} {
		assert.Equal(t, name, build(t, key, "richter", harp.Equal, 440).Sound(3, harp.Draw, harp.Bend, 1).Name, key)
	}
	assert.Equal(t, "F#4", build(t, "G", "richter", harp.Equal, 440).Sound(3, harp.Draw, harp.Plain, 0).Name)
	assert.Equal(t, "Gb5", build(t, "Eb", "richter", harp.Equal, 440).Sound(4, harp.Blow, harp.Over, 1).Name)
}

func TestParseNote(t *testing.T) {
	for written, midi := range map[string]int{"C4": 60, "f#5": 78, "Fs5": 78, "F♯5": 78, "bb3": 58, "B♭3": 58, "Cb5": 71, "C-1": 0, "G9": 127} {
		got, err := harp.ParseNote(written)
		require.NoError(t, err, written)
		assert.Equal(t, midi, got, written)
	}
	for _, wrong := range []string{"", "C", "4", "H4", "C#", "C4#", "C 4", "Cb-1", "G#9", "C10", "C99999999999999999999", "C--1", "C1-", "♯4"} {
		_, err := harp.ParseNote(wrong)
		assert.Error(t, err, wrong)
	}
}

func TestWhatIsRefused(t *testing.T) {
	richter, err := harp.LayoutByName("richter")
	require.NoError(t, err)
	for _, a4 := range []float64{0, 414.9, 466.1, math.NaN(), math.Inf(1)} {
		_, err := harp.New(harp.Key{}, richter, harp.Equal, a4)
		assert.ErrorContains(t, err, "415 to 466")
	}
	_, err = harp.New(harp.Key{}, harp.Layout{}, harp.Equal, 440)
	assert.ErrorContains(t, err, "richter, country")
	_, err = harp.New(harp.Key{}, richter, "meantone", 440)
	assert.ErrorContains(t, err, "equal, just, compromise")
	_, err = harp.LayoutByName("foo")
	assert.ErrorContains(t, err, "natural-minor, harmonic-minor, solo")
}

func TestCustomLayoutNamesEachReed(t *testing.T) {
	ten := []string{"C4", "E4", "G4", "C5", "E5", "G5", "C6", "E6", "G6", "C7"}
	bad := []string{"D4", "G4", "B4", "wibble", "F5", "A5", "B1", "D6", "F6", "A9"}
	_, err := harp.CustomLayout(ten, bad)
	for _, reed := range []string{"draw 4", "draw 7", "draw 10"} {
		assert.ErrorContains(t, err, reed)
	}
	_, err = harp.CustomLayout(ten[:9], ten)
	assert.ErrorContains(t, err, "blow has 9 notes")
}

// On any harp a note sounds between the two reeds' neighbours, and every pitch
// that can be made is a MIDI note.
func TestAnyHarp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := func(label string) []string {
			return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) string {
				return harp.NoteName(rapid.IntRange(36, 101).Draw(t, label), rapid.Bool().Draw(t, "flats"))
			}), 10, 10).Draw(t, label)
		}
		layout, err := harp.CustomLayout(names("blow"), names("draw"))
		require.NoError(t, err)
		key, err := harp.ParseKey(rapid.SampledFrom([]string{"low ", "", "high "}).Draw(t, "register") +
			rapid.SampledFrom(harp.KeyNames()).Draw(t, "key"))
		require.NoError(t, err)
		h, err := harp.New(key, layout, harp.Tuning(rapid.SampledFrom(harp.Tunings()).Draw(t, "tuning")), 466)
		require.NoError(t, err)
		for _, hole := range h.Chart() {
			low := min(hole.Blow.Pitch.Midi, hole.Draw.Pitch.Midi)
			high := max(hole.Blow.Pitch.Midi, hole.Draw.Pitch.Midi)
			assert.Equal(t, max(0, high-low-1), len(hole.Bends))
			for _, b := range hole.Bends {
				assert.True(t, low < b.Pitch.Midi && b.Pitch.Midi < high)
				assert.Less(t, b.Pitch.Hz, b.Pitch.ReedHz)
			}
			assert.Equal(t, high == low, hole.Over == nil)
			assert.True(t, low-12 >= 0 && high+1 <= 127)
		}
	})
}
