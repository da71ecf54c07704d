package sheet

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/cmplx"
	"strconv"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"
)

// The range of the spectrogram, hertz, and how far under its strongest place
// it still shows ink, dB.
const (
	lowest  = 120.0
	highest = 14000.0
	depth   = 75.0
)

// drawSpectrogram puts strength as ink over time and the logarithm of frequency.
func (p *page) drawSpectrogram(at panel) {
	columns := p.columns(int(math.Round(p.seconds*p.scale)), int(at.height))
	p.picture(left, at.top, p.seconds*p.scale, at.height, stain(columns, int(at.height)))
	for _, hz := range []float64{200, 500, 1000, 2000, 5000, 10000} {
		y := at.y(math.Log2(hz))
		p.line(left-4, y, left, y, axis)
		p.text(left-7, y+4, "end", strconv.Itoa(int(hz)))
	}
	p.text(left-7, at.top+4, "end", "Hz")
}

// columns is the level in dB of every pixel, a column for each moment, lowest first.
func (p *page) columns(width, height int) [][]float64 {
	n := 1
	for n < p.rate/24 { // about 40 ms: keeps the partials of the lowest reed apart
		n *= 2
	}
	fft := fourier.NewFFT(2 * n)
	shape := window.BlackmanHarris(ones(n))
	piece, bins := make([]float64, 2*n), make([]complex128, n+1)
	out := make([][]float64, width)
	for i := range out {
		middle := int((float64(i) + 0.5) / p.scale * float64(p.rate))
		for j := range n {
			piece[j] = 0
			if at := middle - n/2 + j; at >= 0 && at < len(p.x) {
				piece[j] = p.x[at] * shape[j]
			}
		}
		out[i] = rows(fft.Coefficients(bins, piece), float64(p.rate)/float64(2*n), height)
	}
	return out
}

func ones(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}

// rows is the strongest bin of each pixel of a column, dB, lowest pixel first.
func rows(bins []complex128, width float64, height int) []float64 {
	out := make([]float64, height)
	ratio := math.Pow(highest/lowest, 1/float64(height))
	hz := lowest
	for i := range out {
		top := 0.0
		for b := int(hz / width); b <= int(hz*ratio/width) && b < len(bins); b++ {
			top = max(top, cmplx.Abs(bins[b]))
		}
		out[i] = 20 * math.Log10(top+1e-9)
		hz *= ratio
	}
	return out
}

// stain turns levels into a PNG, from paper to ink through a warm brown.
func stain(columns [][]float64, height int) []byte {
	top := math.Inf(-1)
	for _, c := range columns {
		for _, v := range c {
			top = max(top, v)
		}
	}
	top = max(top, -60) // silence stays white
	img := image.NewRGBA(image.Rect(0, 0, len(columns), height))
	for x, c := range columns {
		for i, v := range c {
			img.SetRGBA(x, height-1-i, shade(1-(top-v)/depth))
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		return nil // a Buffer takes everything; only an empty image is refused
	}
	return out.Bytes()
}

// shade is the colour of a strength from 0 to 1.
func shade(v float64) color.RGBA {
	stops := [][3]float64{{251, 249, 243}, {236, 214, 170}, {178, 96, 60}, {84, 36, 58}, {16, 20, 36}}
	v = min(max(v, 0), 0.9999) * float64(len(stops)-1)
	i, f := int(v), v-math.Floor(v)
	mix := func(c int) uint8 { return uint8(stops[i][c]*(1-f) + stops[i+1][c]*f) }
	return color.RGBA{mix(0), mix(1), mix(2), 255}
}
