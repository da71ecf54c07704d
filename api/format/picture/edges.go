package picture

import "unicode/utf8"

// mostTitle is how many characters of a title fit over the picture.
const mostTitle = 40

// drawHead writes the title and what is played on.
func (p *plan) drawHead(c *canvas) {
	title := p.score.Title
	if utf8.RuneCountInString(title) > mostTitle {
		title = string([]rune(title)[:mostTitle-1]) + "…"
	}
	if title != "" {
		c.label(title, left, 17, 14, "start", ink, "class", "name", "font-weight", "bold")
	}
	c.label(setting(p.score), left, 32, 10, "start", grey, "class", "number")
}

// drawKey explains the shapes under the picture.
func (p *plan) drawKey(c *canvas) {
	y := p.height() - foot/2
	c.leaf("rect", "class", "blow", "x", num(left+1), "y", num(y-6), "width", "26", "height", "12", "rx", "6",
		"fill", paper, "stroke", ink, "stroke-width", num(border))
	c.label("blow", left+34, y+3.5, 10, "start", ink, "class", "hole")
	c.leaf("rect", "class", "draw", "x", num(left+75), "y", num(y-6.5), "width", "24", "height", "13", "fill", ink)
	c.label("draw", left+104, y+3.5, 10, "start", ink, "class", "hole")
	c.leaf("path", "class", "wave", "d", "M"+num(left+144)+" "+num(y-4)+"c8 0 8 8 20 8", "fill", "none", "stroke", ink, "stroke-width", "4")
	c.label("a bend goes down", left+172, y+3.5, 10, "start", ink, "class", "hole")
}
