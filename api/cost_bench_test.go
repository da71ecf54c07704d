//go:build unix

package api

import (
	"io"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// shapes are pages of one thing over and over.
var shapes = []struct{ name, head, unit string }{
	{"plain", "Tempo: 400\n", "4 -4 5 -5 | 6 -6 7 -7 |\n"},
	{"one line", "Tempo: 400\n", "4 -4 5 -5 "},
	{"chords of ten", "Tempo: 400\n", "(12345678910) "},
	{"chords of three", "Tempo: 400\n", "123 234 -345 -456 | "},
	{"braces", "Tempo: 400\n", "{4 5 6 -4} "},
	{"bends", "Tempo: 400\n", "-3' -3/ -2// 4* -3/~ 4~ 4 -> 6 (4)5 |\n"},
	{"held", "Tempo: 400\n", "4--- 6--- -4--- -6---\n"},
	{"slow", "Tempo: 120\n", "4 -4 5 -5 | 6 -6 7 -7 |\n"},
	{"repeats", "Tempo: 400\n", "4 -4 5 -5 x3\n"},
	{"words", "4 5\n", "some words about the tune, nothing to play here at all\n"},
	{"lyrics", "Tempo: 400\n", "4 -4 5 -5\nla li lu le\n"},
	{"breaths", "Tempo: 400\n", ", , , , 4 "},
	{"mistakes", "4\n", "11 -12 13' "},
	{"doubts", "Tempo: 400\n", "4,5,6 4.5 -4'' \n"},
	{"rows of chords", "Tempo: 400\n", "chords: C F G C\n4 -4 5 -5 | 6 -6 7 -7 | 4 -4 5 -5 | 6 -6 7 -7\n"},
	{"empty lines", "4 5\n", "\n"},
	{"sections", "Tempo: 400\n", "[Verse]\n4\n"},
	{"rests", "Tempo: 400\n", "r r r 4 "},
	{"bars", "Tempo: 400\n", "4|5|"},
	{"graces", "Tempo: 400\n", "(4)5 (6)-6 "},
}

// processorTime is the processor time used so far.
func processorTime(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkCosts compares what each product of each shape of page costs with what
// that was thought to cost; -v lists what is off by more than a factor of two. The
// machine is compared with that of the figures by the median.
func BenchmarkCosts(b *testing.B) {
	for _, settings := range []struct {
		name string
		set  func(*Request)
	}{
		{"usual", func(*Request) {}},
		{"large", func(r *Request) { r.Channels, r.Room, r.Depth = 2, 1, 24 }},
		{"backed", func(r *Request) { r.Backing, r.Room = "chords", 0 }},
		{"small", func(r *Request) { r.Rate, r.Repeat, r.Loudness = 22050, 2, -20 }},
	} {
		b.Run(settings.name, func(b *testing.B) {
			for b.Loop() {
				all, off, worst := 0, 0, 1.0
				for _, s := range shapes {
					r := Defaults()
					r.Tab = s.head + strings.Repeat(s.unit, 4000/len(s.unit))
					settings.set(&r)
					for name, c := range costs(b, r) {
						if c.took < 300*time.Microsecond && c.thought < 300*time.Microsecond {
							continue // an ordinary call costs more, whatever it asks for
						}
						ratio := float64(c.thought) / float64(c.took)
						worst, all = max(worst, ratio, 1/ratio), all+1
						if ratio > 2 || ratio < 0.5 {
							off++
							b.Logf("%s of %s: thought %v, took %v", name, s.name, c.thought, c.took)
						}
					}
				}
				b.ReportMetric(worst, "times-off-at-most")
				b.ReportMetric(100*float64(off)/float64(all), "percent-off-by-two")
			}
		})
	}
}

type cost struct{ thought, took time.Duration }

// costs makes everything of a request, and tells what was thought and what it took.
func costs(b *testing.B, r Request) map[string]cost {
	b.Helper()
	ctx, out, door := b.Context(), map[string]cost{}, NewDoor()
	timed := func(name string, thought time.Duration, do func()) {
		took := time.Hour
		for range 3 {
			from := processorTime(b)
			do()
			took = min(took, processorTime(b)-from)
		}
		out[name] = cost{thought, took}
	}
	var p *Piece
	var failed error
	timed("open", r.OpeningCost(), func() { p, failed = door.Open(ctx, r) })
	if failed != nil {
		return out
	}
	listening, thought := time.Duration(0), p.PreparingCost()
	timed("prepare", 0, func() {
		p.prepared.Store(false)
		_ = p.PrepareWatched(ctx, func(n int64) error { listening = p.ListeningCost(n); return nil })
	})
	out["prepare"] = cost{thought + listening, out["prepare"].took}
	for name, make := range map[string]struct {
		of Product
		do func()
	}{
		"score":    {ScoreProduct, func() { s, _ := p.Score(ctx); _, _ = JSON(s) }},
		"midi":     {MIDIProduct, func() { _, _ = p.MIDI(ctx) }},
		"musicxml": {MusicXMLProduct, func() { _, _ = p.MusicXML(ctx, false) }},
		"picture":  {PictureProduct, func() { _, _ = p.Picture(ctx) }},
		"card":     {CardProduct, func() { _, _ = p.Card(ctx) }},
		"tab":      {TabProduct, func() { _, _ = p.Rewritten(ctx) }},
		"wav":      {WAVProduct, func() { s, _ := p.Sound(ctx); _ = s.WriteTo(ctx, io.Discard) }},
	} {
		timed(name, p.Cost(make.of), make.do)
	}
	if r.Repeat > 1 { // FLAC takes long, and depends on little
		timed("flac", p.Cost(FLACProduct), func() { s, _ := p.Sound(ctx); _, _ = s.FLAC(ctx) })
	}
	return out
}
