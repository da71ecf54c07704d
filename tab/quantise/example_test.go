package quantise_test

import (
	"fmt"

	"reedlark/tab/quantise"
)

func ExampleQuantise() {
	r, err := quantise.Quantise(quantise.Taps{
		Onsets: []float64{0, 0.51, 0.98, 1.26, 1.49},
		Tempo:  120,
		Metre:  quantise.Metre{Beats: 4, Unit: 4},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range r.Notes {
		fmt.Print(n.Beats, " ")
	}
	// Output: 1 1 1/2 1/2 1
}
