package over

import (
	"io"
	"testing"
)

// A minute of a recording in two channels, with the sound over it, from opening
// to the last byte; the mark is the cost a frame of the mix.
func BenchmarkMix(b *testing.B) {
	for _, c := range []struct {
		name       string
		rate, band int
	}{{"at its own rate", 44100, 44100}, {"at another rate", 48000, 44100}} {
		b.Run(c.name, func(b *testing.B) {
			s, set := settings(c.rate, 16, 2)
			rec := band(b, c.band, 2, noise(c.band, 2, 60, 0.1))
			b.ReportAllocs()
			frames := int64(0)
			for b.Loop() {
				m, err := Prepare(b.Context(), rec, s, set)
				if err != nil {
					b.Fatal(err)
				}
				if err := m.WriteTo(b.Context(), io.Discard); err != nil {
					b.Fatal(err)
				}
				frames += m.Frames()
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(frames), "ns/frame")
		})
	}
}
