package recording_test

import (
	"fmt"
	"strings"

	"reedlark/synth/recording"
)

func ExampleOpen() {
	for _, file := range []string{
		"RIFF\x28\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x40\x1f\x00\x00\x80\x3e\x00\x00\x02\x00\x10\x00data\x04\x00\x00\x00\x00\x40\x00\xc0",
		"fLaC and what follows",
	} {
		r, err := recording.Open(strings.NewReader(file), int64(len(file)))
		if err != nil {
			fmt.Println(err)
			continue
		}
		x := make([]float64, 10)
		n, _ := r.Read().Read(x)
		fmt.Println(r.Rate, r.Channels, r.Depth, x[:n])
	}
	// Output:
	// 8000 1 16 [0.5 -0.5]
	// it is FLAC: convert it to a plain WAV file first
}
