package resample

import (
	"errors"
	"fmt"
	"io"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// samples is a source of samples that are there.
type samples struct {
	x        []float64
	channels int
}

func (s *samples) Read(x []float64) (int, error) {
	n := copy(x, s.x)
	s.x = s.x[n:]
	if n == 0 {
		return 0, io.EOF
	}
	return n / s.channels, nil
}

// all reads a source in blocks of so many frames.
func all(t testing.TB, src Source, channels, block int) (out []float64) {
	t.Helper()
	x := make([]float64, block*channels)
	for {
		n, err := src.Read(x)
		out = append(out, x[:n*channels]...)
		if errors.Is(err, io.EOF) {
			return out
		}
		require.NoError(t, err)
	}
}

// sine is so many frames of a sine.
func sine(hz float64, rate, frames int) []float64 {
	out := make([]float64, frames)
	for i := range out {
		out[i] = math.Sin(2 * math.Pi * hz * float64(i) / float64(rate))
	}
	return out
}

// pairs are rates as they are met, and two with hardly a common factor.
var pairs = [][2]int{
	{44100, 48000},
	{48000, 44100},
	{96000, 48000},
	{8000, 44100},
	{22050, 48000},
	{48000, 22050},
	{192000, 44100},
	{44056, 48000},
	{47999, 44100},
	{11025, 22050},
}

// The Kaiser window keeps its promise: what is let through comes out as it
// was, at its time, and what is kept out lies under the attenuation that the
// filter is designed for. ref: Oppenheim & Schafer, section 7.5: the ripple δ of
// both bands is 10^(-A/20).
func TestBands(t *testing.T) {
	ripple := math.Pow(10, -Attenuation/20)
	for _, p := range pairs {
		from, to := p[0], p[1]
		half := float64(min(from, to)) / 2
		for _, part := range []float64{0.01, 0.1, 0.5, 0.8, Passband - 0.001} {
			got := middle(all(t, New(&samples{sine(part*half, from, from/4), 1}, 1, from, to), 1, 1000))
			want := middle(sine(part*half, to, int(Length(int64(from/4), from, to))))
			assert.LessOrEqual(t, difference(got, want), 2*ripple, "%v: a sine at %g of half the lower rate", p, part)
		}
		if from <= to {
			continue
		}
		for _, hz := range []float64{1.001 * half, 1.1 * half, 1.5 * half, float64(from) / 2.1} {
			if hz >= float64(from)/2 {
				continue
			}
			got := middle(all(t, New(&samples{sine(hz, from, from/4), 1}, 1, from, to), 1, 1000))
			assert.LessOrEqual(t, difference(got, make([]float64, len(got))), 2*ripple, "%v: a sine of %g Hz", p, hz)
		}
	}
}

// middle leaves out the ends, where a sine begins and ends at once.
func middle(x []float64) []float64 { return x[len(x)/4 : len(x)*3/4] }

func difference(a, b []float64) float64 {
	most := 0.0
	for i := range a {
		most = max(most, math.Abs(a[i]-b[i]))
	}
	return most
}

// The images of a sine between the old half and the new are kept out too.
func TestImages(t *testing.T) {
	got := middle(all(t, New(&samples{sine(9000, 22050, 22050), 1}, 1, 22050, 48000), 1, 777))
	power := 0.0
	for i, v := range got {
		at := float64(i + 12000)
		power += v * math.Sin(2*math.Pi*(22050-9000)*at/48000)
	}
	assert.Less(t, math.Abs(power)/float64(len(got)), 1e-5)
}

// Every length comes out as Length says, a constant stays one, and silence
// before and after is taken for granted.
func TestLengths(t *testing.T) {
	for _, p := range pairs {
		for _, frames := range []int{1, 2, 3, 100, 4095, 4096, 4097, 9000} {
			x := make([]float64, frames)
			for i := range x {
				x[i] = 0.5
			}
			got := all(t, New(&samples{x, 1}, 1, p[0], p[1]), 1, 333)
			want := int(math.Ceil(float64(frames) * float64(p[1]) / float64(p[0])))
			require.Len(t, got, want, "%d frames, %v", frames, p)
			require.EqualValues(t, want, Length(int64(frames), p[0], p[1]))
			if frames == 9000 {
				assert.InDelta(t, 0.5, got[len(got)/2], 1e-5)
			}
		}
	}
}

// How much is asked for at a time changes nothing, nor does a second channel.
func TestBlocksAndChannels(t *testing.T) {
	left, right := sine(440, 44100, 20000), sine(3000, 44100, 20000)
	both := make([]float64, 40000)
	for i := range left {
		both[2*i], both[2*i+1] = left[i], right[i]
	}
	want := all(t, New(&samples{both, 2}, 2, 44100, 48000), 2, 5000)
	for _, block := range []int{1, 7, 4096, 100000} {
		assert.Equal(t, want, all(t, New(&samples{both, 2}, 2, 44100, 48000), 2, block))
	}
	alone := all(t, New(&samples{left, 1}, 1, 44100, 48000), 1, 64)
	for i, v := range alone {
		require.InDelta(t, v, want[2*i], 1e-12)
	}
}

func TestEqualRatesChangeNothing(t *testing.T) {
	x := sine(1000, 48000, 1000)
	assert.Equal(t, x, all(t, New(&samples{append([]float64{}, x...), 1}, 1, 48000, 48000), 1, 99))
}

// failing gives some frames, and then an error.
type failing struct{ left int }

var errDisk = errors.New("the disk is gone")

func (f *failing) Read(x []float64) (int, error) {
	if f.left == 0 {
		return 0, errDisk
	}
	f.left--
	return len(x), nil
}

func TestErrorsComeThrough(t *testing.T) {
	src := New(&failing{3}, 1, 44100, 48000)
	x := make([]float64, 1000)
	var err error
	for range 100 {
		if _, err = src.Read(x); err != nil {
			break
		}
	}
	assert.ErrorIs(t, err, errDisk)
}

// ref: Abramowitz & Stegun, table 9.8: I0(1) = 1.26607, e^-5 I0(5) = 0.18354.
func TestBessel(t *testing.T) {
	assert.InDelta(t, 1.2660658778, bessel(1), 1e-9)
	assert.InDelta(t, 0.1835408126, bessel(5)*math.Exp(-5), 1e-9)
}

func BenchmarkRead(b *testing.B) {
	for _, channels := range []int{1, 2} {
		b.Run(fmt.Sprintf("44100 to 48000, %d channels", channels), func(b *testing.B) {
			src := New(endless{channels}, channels, 44100, 48000)
			x := make([]float64, 4096*channels)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := src.Read(x); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/4096, "ns/frame")
		})
	}
}

type endless struct{ channels int }

func (e endless) Read(x []float64) (int, error) {
	for i := range x {
		x[i] = float64(i%100) / 100
	}
	return len(x) / e.channels, nil
}
