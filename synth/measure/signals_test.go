package measure_test

import "math"

// The signals of these tests are sums of sines written down here, so that every
// answer is known beforehand.

const rate = 48000

// tone is a sum of partials of f0 with these amplitudes, each with a phase of its own.
func tone(f0, seconds float64, rate int, amplitudes ...float64) []float64 {
	x := make([]float64, int(math.Round(seconds*float64(rate))))
	for k, a := range amplitudes {
		w := 2 * math.Pi * float64(k+1) * f0 / float64(rate)
		for i := range x {
			x[i] += a * math.Sin(w*float64(i)+float64(k*k)*0.7)
		}
	}
	return x
}

// bright are the amplitudes of a tone like a reed's: weak first partial, strong third.
var bright = []float64{0.1, 0.05, 0.3, 0.15, 0.2, 0.06, 0.25, 0.08, 0.08, 0.05}

// glide is a tone whose pitch moves with time: f(t) hertz, three partials.
func glide(f func(t float64) float64, seconds float64, rate int) []float64 {
	x := make([]float64, int(seconds*float64(rate)))
	phase := 0.0
	for i := range x {
		x[i] = 0.3*math.Sin(phase) + 0.2*math.Sin(2*phase+1) + 0.2*math.Sin(3*phase+2)
		phase += 2 * math.Pi * f((float64(i)+0.5)/float64(rate)) / float64(rate)
	}
	return x
}

// shaped multiplies x by a gain that changes with time.
func shaped(x []float64, rate int, gain func(t float64) float64) []float64 {
	y := make([]float64, len(x))
	for i := range x {
		y[i] = x[i] * gain(float64(i)/float64(rate))
	}
	return y
}

func plus(signals ...[]float64) []float64 {
	y := make([]float64, len(signals[0]))
	for _, x := range signals {
		for i := range x {
			y[i] += x[i]
		}
	}
	return y
}

// hiss is white noise, uniform, of a given RMS, the same every time.
func hiss(n int, rms float64) []float64 {
	x := make([]float64, n)
	state := uint64(1)
	for i := range x {
		state = state*6364136223846793005 + 1442695040888963407
		x[i] = (float64(state>>11)/(1<<53) - 0.5) * math.Sqrt(12) * rms
	}
	return x
}
