package dsp

// clamp is x kept within 0 and 1.
func clamp(x float64) float64 { return min(max(x, 0), 1) }

// Smooth is an S from 0 at x = 0 to 1 at x = 1 that starts and ends level:
// 3x² - 2x³.
func Smooth(x float64) float64 {
	x = clamp(x)
	return float64(x*x) * (3 - float64(2*x))
}

// Settled is after how many time constants a Rise is over.
const Settled = 7

// Rise is the concave climb 1 - e^-x from 0 at x = 0, in time constants,
// stretched so that it is exactly 1 from Settled on.
func Rise(x float64) float64 {
	if !(x > 0) { // also where a time constant is 0 and x no number
		return 0
	}
	if x >= Settled {
		return 1
	}
	return float64((1 - Exp(-x)) * stretch)
}

var stretch = 1 / (1 - Exp(-Settled))

// FadeIn is the first half of an equal-power hand-over, sin(πx/2); FadeOut
// the other, so that the squares of the two sum to 1.
func FadeIn(x float64) float64 { return Sin(clamp(x) / 4) }

// FadeOut is the half that goes: cos(πx/2).
func FadeOut(x float64) float64 { return Cos(clamp(x) / 4) }
