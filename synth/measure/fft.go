package measure

import (
	"math/bits"

	"gonum.org/v1/gonum/dsp/fourier"
)

// powerOfTwo is the least power of two that is n or more.
func powerOfTwo(n int) int { return 1 << bits.Len(uint(max(n, 1)-1)) }

// transform is the discrete Fourier transform of x with zeros after it up to n
// points: n/2+1 coefficients.
func transform(x []float64, n int) []complex128 {
	padded := make([]float64, n)
	copy(padded, x)
	return fourier.NewFFT(n).Coefficients(nil, padded)
}

// inverse is the signal of n points with these coefficients.
func inverse(c []complex128, n int) []float64 {
	x := fourier.NewFFT(n).Sequence(nil, c)
	for i := range x {
		x[i] /= float64(n)
	}
	return x
}

// upsample puts factor-1 band-limited samples after each of x, a power of two.
func upsample(x []float64, factor int) []float64 {
	n := powerOfTwo(len(x) + 256) // zeros after the end keep it off the start
	c := make([]complex128, n*factor/2+1)
	copy(c, transform(x, n))
	y := inverse(c, n*factor)[:len(x)*factor]
	for i := range y {
		y[i] *= float64(factor)
	}
	return y
}
