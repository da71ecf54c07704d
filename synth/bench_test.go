//go:build unix

package synth

import (
	"context"
	"fmt"
	"math"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/synth/reed"
	"reedlark/synth/wav"
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
	n, before := int64(0), processor(b)
	for b.Loop() {
		s, err := Prepare(sc, set)
		require.NoError(b, err)
		require.NoError(b, s.newLine(1).render(context.Background(), 0, s.frames, func([]int32) error { return nil }))
		n += s.frames
	}
	b.ReportMetric(1e9*(processor(b)-before)/float64(n), "cpu-ns/frame")
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

// BenchmarkRatios sets the costs side by side, in processor time of one run:
// a minute of notes against the sum of math.Sin over the same partials; one
// dry voice, and what a room costs on top of a minute of notes, against the
// floor, which is one table voice and plain PCM.
func BenchmarkRatios(b *testing.B) {
	tables := newTables(reed.DefaultCacheBytes)
	sound := func(sc *score.Score, room float64) func() int {
		return func() int {
			set := Settings{Rate: 48000, Depth: 16, Channels: 1, Room: room, Loudness: -16, Tables: tables}
			s, err := Prepare(sc, set)
			require.NoError(b, err)
			var pcm []byte
			require.NoError(b, s.newLine(1).render(context.Background(), 0, s.frames, func(block []int32) error {
				pcm = wav.Append(pcm[:0], block, 16)
				return nil
			}))
			return int(s.frames)
		}
	}
	var one, dry, roomy, floor, oracle float64
	for b.Loop() {
		one += cost(b, sound(tune(note(0.1, 59, 72)), 0))
		dry += cost(b, sound(minute(1), 0))
		roomy += cost(b, sound(minute(1), 0.15))
		floor += cost(b, func() int { return leastOf(tables, 60*48000) })
		oracle += cost(b, func() int { return naive(minute(1).Notes, 2400) })
	}
	b.ReportMetric(oracle/dry, "naive/dry")
	b.ReportMetric(one/floor, "voice/floor")
	b.ReportMetric((roomy-dry)/floor, "room/floor")
	b.ReportMetric(1e9*dry/float64(b.N), "dry-ns/frame")
	b.ReportMetric(1e9*floor/float64(b.N), "floor-ns/frame")
}

// cost is the processor seconds a frame of something that says how many it
// made.
func cost(b *testing.B, make func() int) float64 {
	b.Helper()
	before := processor(b)
	n := make()
	return (processor(b) - before) / float64(n)
}

// processor is the seconds of processor time used so far.
func processor(b *testing.B) float64 {
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// leastOf is the least so many frames can cost.
func leastOf(tables *reed.Cache, frames int) int {
	tab := tables.Table(reed.Timbre{Hz: 523.25, Partials: 22, Rate: 48000})
	out, pcm, phase := make([]int32, 48000), []byte(nil), uint32(0)
	for range frames / len(out) {
		for i := range out {
			k, f := phase>>20, float32(int32(phase&(1<<20-1)))*(1.0/(1<<20))
			a := tab.Own[k]
			out[i] = int32(4000 * (a + f*(tab.Own[k+1]-a)))
			phase += 46818508
		}
		pcm = wav.Append(pcm[:0], out, 16)
	}
	return frames
}

// naive sums the sines of some notes, each for so many frames, and says how
// many those are.
func naive(notes []score.Note, frames int) int {
	out := make([]float64, frames)
	for _, x := range notes[:6] {
		hz := x.Voices[0].Hz
		lines := reed.Timbre{Hz: hz, Partials: reed.Partials(hz, 48000), Rate: 48000}.Lines()
		for i := range out {
			for k, l := range lines {
				out[i] += l.Amplitude * math.Sin(2*math.Pi*l.Hz*float64(i)/48000+float64(reed.PhaseOf(k+1)))
			}
		}
	}
	return 6 * frames
}
