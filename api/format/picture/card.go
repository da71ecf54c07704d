//go:build !js

package picture

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"math"

	"reedlark/tab/score"
)

// Size of a card, pixels: what sites that show links have room for (common
// practice, no source).
const (
	CardWidth  = 1200
	CardHeight = 630
)

// fine is how many dots a pixel is drawn with each way, for smooth edges.
const fine = 2

// Card draws the beginning of a score as a PNG for sites that show links and take
// no SVG: the first strip, without words, which stand beside it there. It fails
// only when ctx ends.
func Card(ctx context.Context, s *score.Score, o Options) ([]byte, error) {
	p := newPlan(s, o)
	c := newCard(p)
	for hole := p.low; hole <= p.high; hole++ {
		c.fill(left, p.y(0, hole, 0)-0.25, width-right, p.y(0, hole, 0)+0.25, color.Gray{0xbb})
	}
	for _, m := range within(p.bars, p.systems[0]) {
		x := p.x(p.systems[0], m.seconds)
		c.fill(x-0.5, p.top(0)-8, x+0.5, p.top(0)+p.rows()*row, color.Gray{0x76})
	}
	for _, n := range s.Notes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for _, v := range n.Voices {
			if n.Start < p.systems[0].to-1e-9 {
				c.voice(n, v)
			}
		}
	}
	return c.png(), nil
}

// card is a picture in dots, with the way from units to dots.
type card struct {
	plan    *plan
	dots    *image.Gray
	scale   float64 // dots a unit
	x0, top float64 // the unit at the upper left corner
}

func newCard(p *plan) *card {
	w, h := float64(fine*CardWidth), float64(fine*CardHeight)
	c := &card{plan: p, dots: image.NewGray(image.Rect(0, 0, fine*CardWidth, fine*CardHeight))}
	c.scale = min(w/width, h/p.systemHeight())
	c.x0 = (width - w/c.scale) / 2
	c.top = p.top(0) - p.band() - (h/c.scale-p.systemHeight())/2
	for i := range c.dots.Pix {
		c.dots.Pix[i] = 0xff
	}
	return c
}

// fill fills a rectangle in units.
func (c *card) fill(x1, y1, x2, y2 float64, ink color.Gray) {
	for x := c.dot(x1 - c.x0); x < max(c.dot(x2-c.x0), c.dot(x1-c.x0)+1); x++ {
		c.column(x, y1, y2, ink)
	}
}

func (c *card) dot(units float64) int { return int(math.Round(units * c.scale)) }

// column fills from one height to another in a column of dots.
func (c *card) column(x int, y1, y2 float64, ink color.Gray) {
	for y := c.dot(y1 - c.top); y < max(c.dot(y2-c.top), c.dot(y1-c.top)+1); y++ {
		c.dots.SetGray(x, y, ink)
	}
}

// voice draws one reed column by column along its pitch: black for draw, white
// with round ends and an edge for blow.
func (c *card) voice(n score.Note, v score.Voice) {
	p := c.plan
	half := shapes[n.Role].thick / 2
	x1 := p.x(p.systems[0], n.Start)
	x2 := x1 + p.length(0, n)
	from, to := height(v, v.FromHz), height(v, v.Hz)
	for _, inset := range []float64{0, border} {
		ink := color.Gray{}
		if inset > 0 {
			if v.Breath != score.Blow {
				break
			}
			ink.Y = 0xff
		}
		for x := c.dot(x1 + inset - c.x0); x < c.dot(x2-inset-c.x0); x++ {
			at := float64(x)/c.scale + c.x0
			h := half - inset
			if v.Breath == score.Blow {
				h = round(h, min(at-x1, x2-at)-inset)
			}
			y := p.y(0, v.Hole, from+(to-from)*glided(at-x1, v.GlideSeconds*p.scale))
			c.column(x, y-h, y+h, ink)
		}
	}
}

// round is how high a bar with round ends is, so far from its end.
func round(half, from float64) float64 {
	if from >= half {
		return half
	}
	back := half - max(from, 0)
	return math.Sqrt(max(half*half-back*back, 0))
}

// glided is how much of a glide is done, from 0 to 1, level at both ends.
func glided(into, whole float64) float64 {
	if into >= whole {
		return 1
	}
	t := max(into/whole, 0)
	return t * t * (3 - 2*t)
}

// png is the picture with each pixel the mean of its dots.
func (c *card) png() []byte {
	out := image.NewGray(image.Rect(0, 0, CardWidth, CardHeight))
	for i := range out.Pix {
		x, y, sum := i%CardWidth*fine, i/CardWidth*fine, 0
		for j := range fine * fine {
			sum += int(c.dots.GrayAt(x+j%fine, y+j/fine).Y)
		}
		out.Pix[i] = uint8(sum / (fine * fine)) // a mean of bytes
	}
	var file bytes.Buffer
	_ = png.Encode(&file, out) // a buffer takes everything
	return file.Bytes()
}
