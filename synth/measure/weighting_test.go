package measure

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// ref: ITU-R BS.1770-4, annex 1, tables 1 and 2: coefficients at 48 kHz.
func TestKWeightingIsTheTable(t *testing.T) {
	head, pass := shelf(48000), highPass(48000)
	got := []float64{head.b0, head.b1, head.b2, head.a1, head.a2, pass.b0, pass.b1, pass.b2, pass.a1, pass.a2}
	want := []float64{
		1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585,
		1, -2, 1, -1.99004745483398, 0.99007225036621,
	}
	assert.InDeltaSlice(t, want, got, 1e-11)
}
