// Package picture draws a score as a picture that can be read like tab: holes
// from the bottom up, time from left to right.
//
// Each sounding reed is a bar in the row of its hole. A blown note is a white
// bar with round ends, a drawn one a black bar with square ends, so that breath
// is told by shape and by shade and needs no colour. The bar follows the pitch:
// it sinks as a reed is bent and rises as the bend is let go, on the same
// S-shaped path that is heard. A shake is a wave, a slide a thin line, notes in
// brackets are slim, and a line ties the notes of a chord.
//
// The picture is SVG with presentation attributes alone, so that it shows under
// the strictest policy and prints black on white. It names itself in words for
// those who cannot see it. Each note carries its index in the score and its
// place in the page, each bar its beat, so that a page can light what sounds
// and play what is touched; classes let a style sheet change its ink.
package picture

import (
	"context"

	"reedlark/tab/beat"
	"reedlark/tab/score"
)

// Options is what a picture shows beside the score itself.
type Options struct {
	// Bars is where each bar of the piece starts, beats, ascending; empty
	// where nothing says.
	Bars []beat.Time
	// Rounds is how many times the score goes round; 0 is once.
	Rounds int
	// Tail is the silence after the last beat, seconds.
	Tail float64
}

// Sizes, in units of the picture. It is narrow so that its words can be read
// on a telephone; on paper it is scaled up.
const (
	width   = 360.0
	left    = 26.0 // of the plot: room for the numbers of the holes
	right   = 6.0
	plot    = width - left - right
	row     = 30.0 // the height of a hole's row
	bar     = 14.0 // the thickness of a note
	topBand = 16.0 // over the rows, for the numbers of the bars
	chords  = 12.0 // more over the rows, for the chords of a page that has some
	gap     = 12.0 // under the rows
	head    = 40.0 // the title and what is played on
	foot    = 24.0 // the key to the shapes
)

// Draw draws a score; one without notes is an empty grid. It fails only when ctx
// ends.
func Draw(ctx context.Context, s *score.Score, o Options) ([]byte, error) {
	p := newPlan(s, o)
	var out canvas
	out.open("svg",
		"xmlns", "http://www.w3.org/2000/svg", "viewBox", box(p.height()), "width", "720", "height", num(2*p.height()),
		"role", "img", "aria-labelledby", "picture-title picture-desc",
		"font-family", "sans-serif", "data-left", num(left), "data-plot", num(plot))
	out.element("title", name(s), "id", "picture-title")
	out.element("desc", inWords(s), "id", "picture-desc")
	out.leaf("rect", "class", "paper", "width", "100%", "height", "100%", "fill", "white")
	p.drawHead(&out)
	for i := range p.systems {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		p.drawSystem(&out, i)
	}
	p.drawKey(&out)
	out.close("svg")
	return out.bytes(), nil
}

func box(height float64) string { return "0 0 " + num(width) + " " + num(height) }
