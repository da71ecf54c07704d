package resample_test

import (
	"fmt"
	"io"

	"reedlark/synth/resample"
)

// ramp is a source of six frames of one channel, 0.1 to 0.6.
type ramp struct{ given int }

func (r *ramp) Read(x []float64) (int, error) {
	n := 0
	for ; n < len(x) && r.given < 6; n++ {
		r.given++
		x[n] = float64(r.given) / 10
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func ExampleNew() {
	src := resample.New(&ramp{}, 1, 24000, 48000)
	x := make([]float64, 100)
	n, _ := src.Read(x)
	fmt.Println(n, resample.Length(6, 24000, 48000))
	_, err := src.Read(x)
	fmt.Println(err)
	// Output:
	// 12 12
	// EOF
}
