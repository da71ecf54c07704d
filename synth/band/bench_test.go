package band

import "testing"

func BenchmarkBuild(b *testing.B) {
	for b.Loop() {
		Build(timbres[0])
	}
}

func BenchmarkPlay(b *testing.B) {
	n := notes()["string long"]
	out := make([]float32, n.End-n.First)
	for b.Loop() {
		n.Play(out, 0, n.First, nil)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(out)), "ns/frame")
}
