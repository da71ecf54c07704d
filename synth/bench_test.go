package synth

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/synth/reed"
	"reedlark/tab/score"
)

// minute is 120 notes a minute, for so many minutes, over the range of a harp.
func minute(minutes int) *score.Score {
	scale := []float64{60, 62, 64, 67, 71, 72, 74, 76, 77, 79, 81, 83, 84}
	notes := []score.Note{note(0.1, 0.5, 60)}
	for i := 1; i < 120*minutes; i++ {
		onset := []score.Onset{score.NewBreath, score.Legato, score.Tongued}[i%3]
		gap := []float64{0.04, 0, 0.025}[i%3]
		notes = append(notes, then(&notes[i-1], onset, gap, 0.5, scale[i*5%len(scale)]))
	}
	return tune(notes...)
}

// run renders a score whole, b.N times, without keeping it.
func run(b *testing.B, sc *score.Score, set Settings) {
	b.Helper()
	set.Tables = newTables(reed.DefaultCacheBytes)
	b.ReportAllocs()
	n := int64(0)
	for b.Loop() {
		s, err := Prepare(sc, set)
		require.NoError(b, err)
		require.NoError(b, s.render(context.Background(), 0, s.frames, 1, func([]int32) error { return nil }))
		n += s.frames
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(n), "ns/frame")
}

// BenchmarkRender is a minute of 120 notes, prepared and rendered.
func BenchmarkRender(b *testing.B) {
	for _, room := range []float64{0, 0.15} {
		for _, channels := range []int{1, 2} {
			b.Run(fmt.Sprintf("room=%g/channels=%d", room, channels), func(b *testing.B) {
				run(b, minute(1), Settings{Rate: 48000, Depth: 16, Channels: channels, Room: room, Loudness: -16})
			})
		}
	}
}

// BenchmarkLength shows that the cost grows with the length of the tab, no
// faster.
func BenchmarkLength(b *testing.B) {
	for _, minutes := range []int{1, 10, 100} {
		b.Run(fmt.Sprint(minutes), func(b *testing.B) {
			run(b, minute(minutes), Settings{Rate: 22050, Depth: 16, Channels: 1, Loudness: -16})
		})
	}
}

// BenchmarkFloor is the least a sound can cost: one table voice and plain
// rounding.
func BenchmarkFloor(b *testing.B) {
	tab := newTables(1 << 20).Table(reed.Timbre{Hz: 523.25, Partials: 22, Rate: 48000})
	out, phase := make([]int32, 48000), uint32(0)
	for b.Loop() {
		for i := range out {
			k, f := phase>>20, float32(int32(phase&(1<<20-1)))*(1.0/(1<<20))
			a := tab.Own[k]
			out[i] = int32(4000 * (a + f*(tab.Own[k+1]-a)))
			phase += 46818508
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(out)), "ns/frame")
}

// BenchmarkNaive is the sum of math.Sin over the partials of each note, the
// oracle of the tables.
func BenchmarkNaive(b *testing.B) {
	sc := minute(1)
	n := 0
	for b.Loop() {
		for _, x := range sc.Notes[:2] {
			lines := reed.Timbre{Hz: x.Voices[0].Hz, Partials: reed.Partials(x.Voices[0].Hz, 48000), Rate: 48000}.Lines()
			n += naive(lines, 2400)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(n), "ns/frame")
}

// naive adds the lines up for so many frames, and says how many.
func naive(lines []reed.Line, frames int) int {
	out := make([]float64, frames)
	for i := range out {
		for k, l := range lines {
			out[i] += l.Amplitude * math.Sin(2*math.Pi*l.Hz*float64(i)/48000+float64(reed.PhaseOf(k+1)))
		}
	}
	return len(out)
}
