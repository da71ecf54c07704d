package perform_test

import (
	"fmt"

	"reedlark/tab"
	"reedlark/tab/perform"
)

func ExamplePerform() {
	doc := tab.Parse("4 -4 5", tab.Options{})
	sc, problems := perform.Perform(doc, perform.Settings{Tempo: 120})
	for _, n := range sc.Notes {
		fmt.Printf("%s at beat %s, %.3f s: %s, %.1f Hz\n", n.Text, n.StartBeat.String(), n.Start, n.Voices[0].Name, n.Voices[0].Hz)
	}
	fmt.Println(len(problems), "problems")
	// Output:
	// 4 at beat 0, 0.015 s: C5, 523.3 Hz
	// -4 at beat 1, 0.515 s: D5, 587.3 Hz
	// 5 at beat 2, 1.015 s: E5, 659.3 Hz
	// 0 problems
}
