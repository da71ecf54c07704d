package tab_test

import (
	"fmt"

	"reedlark/tab"
)

func ExampleParse() {
	d := tab.Parse("4 -4 5 wibble -6\n", tab.Options{})
	for _, x := range d.Source.PlaceAll(d.Problems) {
		fmt.Printf("%d:%d %s: %s\n", x.Line, x.Column, x.Severity, x.Message)
	}
	// Output:
	// 1:8 error: “wibble” is not a note, and not anything else that can be played.
}

func ExampleDocument_Unfold() {
	d := tab.Parse("|: 4- {-4 5} :|\n", tab.Options{})
	for _, e := range d.Unfold().Events {
		fmt.Println(e.Start.String(), e.Note.Breath, e.Note.Holes, e.Beats.String())
	}
	// Output:
	// 0 blow [4] 2
	// 2 draw [4] 1/2
	// 5/2 blow [5] 1/2
	// 3 blow [4] 2
	// 5 draw [4] 1/2
	// 11/2 blow [5] 1/2
}

func ExampleDocument_Print() {
	d := tab.Parse("4   -4  -3// r\nOh, my  har- monica\n", tab.Options{})
	fmt.Print(d.Print(tab.Letters))
	fmt.Print(d.Print(tab.Arrows))
	// Output:
	// B4  D4  D3// r
	// Oh, my  har- monica
	// 4↑  4↓  3↓// r
	// Oh, my  har- monica
}

func ExampleParseMetre() {
	m, ok := tab.ParseMetre("6/8")
	fmt.Println(m.Beats, m.Unit, ok)
	// Output: 6 8 true
}
