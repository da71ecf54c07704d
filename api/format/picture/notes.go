package picture

import (
	"slices"
	"strconv"
	"strings"

	"reedlark/tab/score"
)

// shape is how thick a note is drawn and how its label is written.
type shape struct {
	thick float64
	words float64 // size of the label, 0 for none
}

var shapes = map[score.Role]shape{
	score.Melody: {bar, 10},
	score.Filler: {bar - 4, 8.5},
	score.Grace:  {bar - 6, 0},
	score.Slide:  {4, 0},
}

// drawNotes draws what begins in a strip. Notes are in order of time.
func (p *plan) drawNotes(c *canvas, i int) {
	s := p.systems[i]
	notes := p.score.Notes
	first, _ := slices.BinarySearchFunc(notes, s.from-1e-9, func(n score.Note, at float64) int {
		return byTime(moment{seconds: n.Start}, at)
	})
	for n := first; n < len(notes) && (notes[n].Start < s.to-1e-9 || i == len(p.systems)-1); n++ {
		p.drawNote(c, i, n)
	}
}

// drawNote draws one note with its voices, and says where in the page it is.
func (p *plan) drawNote(c *canvas, i, index int) {
	n := p.score.Notes[index]
	c.open("g", "class", "note "+string(n.Role), "data-index", strconv.Itoa(index),
		"data-line", strconv.Itoa(n.Line), "data-column", strconv.Itoa(n.Column), "data-length", strconv.Itoa(n.Length))
	c.element("title", caption(n))
	p.drawChord(c, i, n)
	for _, v := range n.Voices {
		p.drawVoice(c, i, n, v)
	}
	if n.Shake {
		p.drawShake(c, i, n)
	}
	c.close("g")
}

// drawChord ties the voices of a chord with a line at their onset.
func (p *plan) drawChord(c *canvas, i int, n score.Note) {
	if len(n.Voices) < 2 || n.Role == score.Slide {
		return
	}
	low, high := n.Voices[0].Hole, n.Voices[0].Hole
	for _, v := range n.Voices {
		low, high = min(low, v.Hole), max(high, v.Hole)
	}
	x := p.x(p.systems[i], n.Start) + 1
	c.line("wave", ink, x, p.y(i, high, 0), x, p.y(i, low, 0), 2)
}

// drawVoice draws one reed as a bar along its pitch: black with square ends for
// draw, white with round ends for blow.
func (p *plan) drawVoice(c *canvas, i int, n score.Note, v score.Voice) {
	form := shapes[n.Role]
	length := p.length(i, n)
	class, fill, labelInk, labelClass := "draw", ink, paper, "on-draw"
	if v.Breath == score.Blow {
		class, fill, labelInk, labelClass = "blow", paper, ink, "on-blow"
	}
	c.leaf("path", "class", class, "d", p.outline(i, n, v, length), "fill", fill, "stroke", ink, "stroke-width", num(border))
	text := label(n, v)
	if form.words == 0 || wide(text, form.words) > length {
		return
	}
	x := p.x(p.systems[i], n.Start) + length/2
	c.label(text, x, p.middle(i, v, length)+form.words*0.36, form.words, "middle", labelInk, "class", labelClass)
}

// border is how thick a bar's edge is drawn, half of it outside the bar.
const border = 1.4

// length is how wide a note is drawn: to where it falls silent, a hair less so
// that a repeated note is seen as two.
func (p *plan) length(i int, n score.Note) float64 {
	s := p.systems[i]
	end := min(n.Start+n.Seconds-n.Gap, max(s.to, n.Start))
	return max(4, (end-n.Start)*p.scale-0.8)
}

// outline is the edge of a voice's bar, which is as thick everywhere, measured
// upright. The S of the pitch in cents is a cubic curve, level at both ends.
func (p *plan) outline(i int, n score.Note, v score.Voice, length float64) string {
	half := (shapes[n.Role].thick - border) / 2
	x := p.x(p.systems[i], n.Start) + border/2
	end := x + length - border/2
	turn := func(_, y float64) string { return "V" + num(y) }
	if v.Breath == score.Blow { // round ends stand out
		inset := max(0.1, min(half, (length-border)/2))
		x, end = x+inset, end-inset
		turn = func(x, y float64) string {
			return "A" + num(inset) + " " + num(half) + " 0 0 1 " + num(x) + " " + num(y)
		}
	}
	end = max(end, x)
	from, to := p.y(i, v.Hole, height(v, v.FromHz)), p.y(i, v.Hole, height(v, v.Hz))
	glide := min(v.GlideSeconds*p.scale, end-x)
	if glide <= 0 {
		from = to
	}
	return "M" + num(x) + " " + num(from-half) + curve(x, x+glide, from-half, to-half) + "H" + num(end) +
		turn(end, to+half) + "H" + num(x+glide) + curve(x+glide, x, to+half, from+half) + turn(x, from-half) + "Z"
}

// curve leads from one height to another, level at both ends.
func curve(x1, x2, y1, y2 float64) string {
	if y1 == y2 {
		return ""
	}
	mid := num((x1 + x2) / 2)
	return "C" + mid + " " + num(y1) + " " + mid + " " + num(y2) + " " + num(x2) + " " + num(y2)
}

// height is how far a pitch is drawn above its reed's line, semitones. An over
// stands above the line of its hole, for no reed of its breath goes there.
func height(v score.Voice, hz float64) float64 {
	h := above(hz, v.ReedHz)
	if v.Technique == score.Over {
		h += 0.5
	}
	return h
}

// middle is the height of a voice's label.
func (p *plan) middle(i int, v score.Voice, length float64) float64 {
	if v.GlideSeconds*p.scale > length/2 {
		return p.y(i, v.Hole, (height(v, v.FromHz)+height(v, v.Hz))/2)
	}
	return p.y(i, v.Hole, height(v, v.Hz))
}

// drawShake draws a wave over the note, or between the two holes it changes.
func (p *plan) drawShake(c *canvas, i int, n score.Note) {
	y := p.y(i, n.Voices[0].Hole, 0) - bar/2 - 3
	depth := 3.0
	if len(n.Voices) == 2 {
		a, b := p.y(i, n.Voices[0].Hole, 0), p.y(i, n.Voices[1].Hole, 0)
		y, depth = (a+b)/2, 6
	}
	x := p.x(p.systems[i], n.Start) + 2
	var d strings.Builder
	d.WriteString("M" + num(x) + " " + num(y))
	for end := x + p.length(i, n) - 4; x < end; x += 6 {
		d.WriteString("q1.5 " + num(-depth) + " 3 0t3 0")
	}
	c.leaf("path", "class", "wave", "d", d.String(), "fill", "none", "stroke", ink, "stroke-width", "1.2")
}

// wide is about how wide a label is drawn.
func wide(text string, size float64) float64 { return 0.58*size*float64(len(text)) + 2 }
