package reed

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/dsp"
	"reedlark/synth/reed/spectrum"
)

var (
	low  = Timbre{Hz: 98, Partials: Partials(98, 48000), Rate: 48000}
	mid  = Timbre{Hz: 523.25, Partials: Partials(523.25, 48000), Rate: 48000}
	high = Timbre{Hz: 2793.8, Partials: Partials(2793.8, 22050), Rate: 22050, Colour: spectrum.Colour{Draw: true}}
)

// shelf gives the timbres above by number.
type shelf struct{ cache *Cache }

func (s shelf) Table(n int32) *Table { return s.cache.Table([]Timbre{low, mid, high}[n]) }
func (s shelf) Hiss() []float32      { return s.cache.Hiss(48000) }

func newShelf() shelf { return shelf{NewCache(1 << 20)} }

// TestPartials: up to 12 kHz, 0.45 of the rate, or 128.
func TestPartials(t *testing.T) {
	assert.Equal(t, 128, low.Partials)
	assert.Equal(t, 128, Partials(50, 48000))
	assert.Equal(t, 25, mid.Partials)
	assert.Equal(t, 3, high.Partials)
	assert.Equal(t, 1, Partials(8000, 22050))
}

// TestTableIsItsSum: a table, and what is read between its points, is the sum
// of the standard library's sines.
func TestTableIsItsSum(t *testing.T) {
	s := newShelf()
	for n, timbre := range []Timbre{low, mid, high} {
		tab, lines := s.Table(int32(n)), timbre.Lines()
		out := make([]float32, 999)
		const step = 123456789
		loop(out, &tab.Own, 0, step, 1)
		for i, got := range out {
			turns, want := float64(uint32(i*step))/dsp.Turn, 0.0
			for k, l := range lines {
				want += l.Amplitude * math.Sin(2*math.Pi*(float64(k+1)*turns+float64(PhaseOf(k+1))/Points))
			}
			require.InDelta(t, want, float64(got), 1e-3*tab.OwnPeak)
		}
	}
}

// TestFacts: what is known of a table is what its samples show.
func TestFacts(t *testing.T) {
	s := newShelf()
	for n, timbre := range []Timbre{low, mid, high} {
		tab := s.Table(int32(n))
		power, both, dark, peak := 0.0, 0.0, 0.0, 0.0
		for i := range Points {
			a, b := float64(tab.Own[i]), float64(tab.Dark[i])
			power, both, dark, peak = power+a*a/Points, both+a*b/Points, dark+b*b/Points, max(peak, math.Abs(a))
		}
		assert.InEpsilon(t, power, tab.Power, 1e-4)
		assert.InEpsilon(t, both/power, tab.Plain.Common, 1e-4)
		assert.InEpsilon(t, dark/power, tab.Plain.Dark, 1e-4)
		assert.GreaterOrEqual(t, tab.OwnPeak, peak)
		assert.Less(t, tab.OwnPeak, peak*1.01)
		weighted := 0.0
		for _, l := range timbre.Lines() {
			weighted += l.Power()
		}
		assert.InDelta(t, 1, weighted, 1e-12)
	}
}

// parts are one of every kind, over 3000 frames from an odd frame on.
func parts() map[string]Part {
	env := Envelope{Attack: NewAttack(523, 0.06, false), FallAt: 0.05, FallFor: 0.012}
	tone := func(change func(*Tone)) *Tone {
		v := &Tone{
			First: 101, End: 3101, Rate: 48000, Gain: 1, Envelope: env, Scoop: NewScoop(523, 25),
			Breakpoints: []Breakpoint{{At: 101, From: 9, To: 9, A: 1, B: 1}},
		}
		change(v)
		return v
	}
	live := func(change func(*Tone)) *Tone {
		return tone(func(v *Tone) {
			v.Life, v.Lift = &Life{Seed: 9, Grid: LifeGrid(48000), Rate: 48000, Effort: 3, Swell: Swell{Rise: 1, Fall: 3, Seconds: 0.06}}, 6
			v.Envelope.Attack.Wait = 0.004
			change(v)
		})
	}
	return map[string]Part{
		"live": live(func(*Tone) {}),
		"live and long": live(func(v *Tone) {
			v.End, v.Envelope.FallAt, v.Life.Swell.Seconds = 60101, 1.2375, 1.25
			v.Noise = &Breath{First: 101, End: 60101, Rate: 48000, Gain: 0.1, Seed: 7, Envelope: v.Envelope}
		}),
		"live and bent": live(func(v *Tone) {
			v.Breakpoints = []Breakpoint{{At: 300, Glide: 0.02, From: 9, To: 8.8, A: 1, B: 2, Dip: 2}, {At: 1800, From: 8.8, To: 8.8, A: 2, B: 2}}
		}),
		"live vibrato": live(func(v *Tone) {
			v.Motion = NewVibrato(0.06)
			v.Motion.Seed = 5
		}),
		"live and handed over": live(func(v *Tone) { v.Envelope.HandOver, v.Envelope.Joined = 0.012, true }),
		"plain":                tone(func(*Tone) {}),
		"low": tone(func(v *Tone) {
			v.Breakpoints = []Breakpoint{{At: 101, From: 6.6147, To: 6.6147}}
		}),
		"long": tone(func(v *Tone) {
			v.End, v.Envelope.FallAt = 60101, 1.2375
		}),
		"bent": tone(func(v *Tone) {
			v.Breakpoints = []Breakpoint{{At: 300, Glide: 0.02, From: 9, To: 8.8, A: 1, B: 2, Dip: 2}, {At: 1800, From: 8.8, To: 8.8, A: 2, B: 2}}
		}),
		"handed over": tone(func(v *Tone) {
			v.Envelope.HandOver, v.Envelope.Joined = 0.012, true
		}),
		"vibrato": tone(func(v *Tone) { v.Motion = NewVibrato(0.06) }),
		"turns":   tone(func(v *Tone) { v.Motion = NewShake(Second, 0.06) }),
		"fading":  tone(func(v *Tone) { v.Envelope.FadeAt, v.Envelope.FadeFor = 0.02, 0.03 }),
		"breath":  &Breath{First: 101, End: 3101, Rate: 48000, Gain: 0.1, Seed: 7, Envelope: env},
	}
}

// TestPartContract holds every kind of part to the contract of Part: finite,
// bounded, at rest at both ends, and the same bits in whatever pieces it is
// played or skipped.
func TestPartContract(t *testing.T) {
	for name, p := range parts() {
		t.Run(name, func(t *testing.T) {
			from, to := p.Span()
			whole := make([]float32, to-from)
			s := newShelf()
			last := p.Play(whole, 0, from, s)
			for _, v := range whole {
				require.LessOrEqual(t, math.Abs(float64(v)), 6.0)
			}
			assert.Less(t, math.Abs(float64(whole[0])), 0.02)
			assert.Less(t, math.Abs(float64(whole[len(whole)-1])), 0.02)
			for _, segments := range []int64{1, 2, 7, 16} {
				pieces, phase := make([]float32, len(whole)), uint32(0)
				for at := from; at < to; {
					stop := min((at/(segments*Segment)+1)*segments*Segment, to)
					require.Equal(t, phase, p.Advance(0, from, at), "skipped to %d", at)
					phase = p.Play(pieces[at-from:stop-from], phase, at, s)
					at = stop
				}
				require.Equal(t, whole, pieces, "in pieces of %d segments", segments)
				require.Equal(t, last, phase)
			}
		})
	}
}

// TestCache: bounded in bytes, the same table while it is kept, the same waves
// when it is built again.
func TestCache(t *testing.T) {
	const bytes = 10 * tableBytes
	c := NewCache(bytes)
	first := c.Table(mid)
	assert.Same(t, first, c.Table(mid))
	for i := range 40 {
		c.Table(Timbre{Hz: 500 + float64(i), Partials: 8, Rate: 48000})
		assert.LessOrEqual(t, (len(c.young)+len(c.old))*tableBytes, bytes)
	}
	again := c.Table(mid)
	assert.NotSame(t, first, again)
	assert.Equal(t, first, again)
}

// TestEarly: at the end of the early time the level is 10 dB under the steady
// one, or the time is the most allowed.
func TestEarly(t *testing.T) {
	f := newShelf().Table(1).Facts
	for _, hz := range []float64{98, 196, 262, 523, 1047, 2637} {
		a := NewAttack(hz, 1, false)
		early := a.Early(f)
		gain, bright := a.At(early)
		level := dsp.Decibels(gain * f.Plain.Level(bright, 1-bright))
		assert.True(t, early <= MaxEarly && (math.Abs(level+10) < 0.1 || level < -10), fmt.Sprint(hz, early, level))
	}
}

// TestHiss: RMS 1, no DC, most of it between 1 and 8 kHz, no seam.
func TestHiss(t *testing.T) {
	for _, rate := range []float64{22050, 44100, 48000} {
		x := hiss(rate)
		sum, power, in := 0.0, 0.0, 0.0
		for _, v := range x {
			sum, power = sum+float64(v), power+float64(v)*float64(v)
		}
		assert.InDelta(t, 0, sum/hissFrames, 0.005)
		assert.InDelta(t, 1, power/hissFrames, 1e-3)
		all := 0.0
		for hz := 50.0; hz < rate/2; hz += 100 {
			re, im := 0.0, 0.0
			for i, v := range x[:8192] {
				re += float64(v) * math.Cos(2*math.Pi*hz*float64(i)/rate)
				im += float64(v) * math.Sin(2*math.Pi*hz*float64(i)/rate)
			}
			all += re*re + im*im
			if hz > 1000 && hz < 8000 {
				in += re*re + im*im
			}
		}
		assert.Greater(t, in/all, 0.6, "of the power in the band")
		assert.Less(t, math.Abs(float64(x[0]-x[hissFrames-1])), 4.0)
	}
}
