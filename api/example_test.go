package api_test

import (
	"context"
	"fmt"

	"reedlark/api"
)

func ExampleOpen() {
	request := api.Defaults()
	request.Tab = "4 -4 -3/" // a tune of three notes, made up
	if err := request.Set("harp", "A"); err != nil {
		fmt.Println(err)
		return
	}
	piece, err := api.Open(context.Background(), request)
	if err != nil {
		fmt.Println(err)
		return
	}
	score, err := piece.Score(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, note := range score.Notes {
		fmt.Println(note.Text, note.Voices[0].Name)
	}
	// Output:
	// 4 A4
	// -4 B4
	// -3/ G4
}

func ExampleRequest_Set() {
	request := api.Defaults()
	fmt.Println(request.Set("tempo", "900"))
	// Output:
	// tempo is "900", but it may be 20 to 400 beats a minute
}

func ExampleRequest_Link() {
	request := api.Defaults()
	request.Tab = "4 5"
	z, err := request.Link()
	if err != nil {
		fmt.Println(err)
		return
	}
	back, err := api.FromLink(z)
	fmt.Println(back.Tab, err)
	// Output:
	// 4 5 <nil>
}
