package picture

import (
	"sort"
	"strconv"
)

// Inks of the grid; the notes are plain black.
const (
	ink   = "black"
	faint = "#bbb"
	grey  = "#767676"
	paper = "white"
)

// drawSystem draws one strip. What a page needs to find a moment in it stands
// on its group.
func (p *plan) drawSystem(c *canvas, i int) {
	s := p.systems[i]
	c.open("g", "class", "system", "data-from", seconds(s.from), "data-to", seconds(s.to),
		"data-top", num(p.top(i)-p.band()), "data-height", num(p.systemHeight()), "data-scale", seconds(p.scale))
	p.drawRows(c, i)
	p.drawMarks(c, i)
	p.drawChords(c, i)
	p.drawNotes(c, i)
	c.close("g")
}

func (p *plan) drawRows(c *canvas, i int) {
	end := p.x(p.systems[i], p.systems[i].to)
	for hole := p.low; hole <= p.high; hole++ {
		y := p.y(i, hole, 0)
		c.line("row", faint, left, y, end, y, 0.5)
		c.label(strconv.Itoa(hole), left-8, y+4, 12, "end", ink, "class", "hole")
	}
}

// drawMarks draws beats as short ticks and bars as whole lines with numbers.
func (p *plan) drawMarks(c *canvas, i int) {
	s := p.systems[i]
	top, bottom := p.top(i), p.top(i)+p.rows()*row
	for _, m := range within(p.beats, s) {
		x := p.x(s, m.seconds)
		c.leaf("line", "class", "beat", "data-beat", beatText(m.beat), "data-start", seconds(m.seconds),
			"x1", num(x), "y1", num(top-3), "x2", num(x), "y2", num(bottom), "stroke", faint, "stroke-width", "0.5", "stroke-dasharray", "1 3")
	}
	for _, m := range within(p.bars, s) {
		x := p.x(s, m.seconds)
		c.leaf("line", "class", "bar", "data-bar", strconv.Itoa(m.number), "data-beat", beatText(m.beat), "data-start", seconds(m.seconds),
			"x1", num(x), "y1", num(top-8), "x2", num(x), "y2", num(bottom), "stroke", grey, "stroke-width", "1")
		c.label(strconv.Itoa(m.number), x+3, top-3, 9, "start", grey, "class", "number")
	}
}

// drawChords writes the symbols of the chords over where they begin and, in
// grey, the one that goes on from the strip before.
func (p *plan) drawChords(c *canvas, i int) {
	s, all := p.systems[i], p.score.Chords
	first := sort.Search(len(all), func(k int) bool { return all[k].Start+all[k].Seconds > s.from })
	for _, change := range all[first:] {
		if change.Start >= s.to {
			break
		}
		from, colour := change.Start, ink
		if from < s.from-1e-9 {
			from, colour = s.from, grey
		}
		if from < min(change.Start+change.Seconds, s.to)-1e-9 {
			c.label(change.Symbol, p.x(s, from)+1, p.top(i)-topBand+2, 11, "start", colour, "class", "chord")
		}
	}
}

// seconds is a number for a page to reckon with.
func seconds(x float64) string { return strconv.FormatFloat(x, 'f', 4, 64) }

func beatText(x float64) string { return decimal(x, 6) }
