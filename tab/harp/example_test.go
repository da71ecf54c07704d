package harp_test

import (
	"fmt"

	"reedlark/tab/harp"
)

func ExampleHarp_Sound() {
	key, _ := harp.ParseKey("low F")
	layout, _ := harp.LayoutByName("richter")
	h, _ := harp.New(key, layout, harp.Equal, 440)
	bend := h.Sound(3, harp.Draw, harp.Bend, 2)
	fmt.Printf("%s %.2f Hz\n", bend.Name, bend.Hz)
	// Output: D4 293.66 Hz
}

func ExampleParseKey() {
	_, err := harp.ParseKey("H")
	fmt.Println(err)
	// Output: there is no harp in "H": write one of C, Db, D, Eb, E, F, F#, G, Ab, A, Bb, B (C# for Db and so on), with low or high before it for another octave
}
