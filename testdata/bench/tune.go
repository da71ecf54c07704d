package main

import (
	"fmt"
	"math"
	"strings"
)

// tune is an invented run of single notes for a C harp, one a beat, that never
// repeats the same note twice running.
type tune []int

// reeds of a C harp that are easy to play: how each is written, and its
// semitones over C4.
// ref: OEIS A291810.
var reeds = []struct {
	tab      string
	semitone int
}{
	{"4", 12},
	{"-4", 14},
	{"5", 16},
	{"-5", 17},
	{"6", 19},
	{"-6", 21},
	{"-7", 23},
	{"7", 24},
	{"-2", 7},
	{"-3", 11},
	{"3", 7},
	{"2", 4},
	{"-1", 2},
	{"1", 0},
	{"8", 28},
	{"-8", 26},
}

// newTune wanders over the reeds, the same way every time.
func newTune(notes int) tune {
	t := make(tune, notes)
	state := uint32(7)
	for i := range t {
		state = state*1664525 + 1013904223
		t[i] = int(state>>8) % len(reeds)
		if i > 0 && t[i] == t[i-1] {
			t[i] = (t[i] + 1) % len(reeds)
		}
	}
	return t
}

// tab writes the tune as a page of tab, 120 beats a minute.
func (t tune) tab() string {
	var b strings.Builder
	b.WriteString("Tempo: 120\n")
	for i, reed := range t {
		b.WriteString(reeds[reed].tab)
		b.WriteString(map[bool]string{true: "\n", false: " "}[i%16 == 15])
	}
	return b.String()
}

// score writes the tune as a csound score: instrument, start, length, hertz.
func (t tune) score() string {
	var b strings.Builder
	for i, reed := range t {
		hz := 440 * math.Pow(2, float64(reeds[reed].semitone+60-69)/12)
		fmt.Fprintf(&b, "i1 %g 0.48 %.3f\n", float64(i)/2, hz)
	}
	return b.String() + "e\n"
}
