package sheet

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// The pens of a sheet: colour and thickness as SVG attributes.
const (
	paper  = "#fbf9f3"
	ink    = "#1d3d45"
	hair   = `stroke="#8d8a80" stroke-width="0.5" stroke-dasharray="2 3"`
	axis   = `stroke="#8d8a80" stroke-width="1"`
	grid   = `stroke="#d9d5c8" stroke-width="0.6"`
	wanted = `stroke="#e0a53b" stroke-opacity="0.55" stroke-width="7" stroke-linejoin="round" fill="none"`
	heard  = `stroke="` + ink + `" stroke-width="1.4" stroke-linejoin="round" fill="none"`
)

// canvas collects the elements of an SVG.
type canvas struct{ bytes.Buffer }

func (c *canvas) open(width, height float64) {
	fmt.Fprintf(&c.Buffer, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s" `,
		px(width), px(height), px(width), px(height))
	fmt.Fprintf(&c.Buffer, `font-family="sans-serif" font-size="12" fill="%s">`, ink)
	c.WriteString("\n<title>A sound: its spectrum, pitch and level in time</title>\n")
	fmt.Fprintf(&c.Buffer, `<rect width="100%%" height="100%%" fill="%s"/>`+"\n", paper)
}

func (c *canvas) shut() { c.WriteString("</svg>\n") }

func (c *canvas) writeTo(w io.Writer) error {
	_, err := c.WriteTo(w)
	return err
}

func (c *canvas) line(x1, y1, x2, y2 float64, pen string) {
	fmt.Fprintf(&c.Buffer, `<line x1="%s" y1="%s" x2="%s" y2="%s" %s/>`+"\n", px(x1), px(y1), px(x2), px(y2), pen)
}

// text writes words, whatever they hold, anchored at start, middle or end.
func (c *canvas) text(x, y float64, anchor, words string) {
	fmt.Fprintf(&c.Buffer, `<text x="%s" y="%s" text-anchor="%s">`, px(x), px(y), anchor)
	_ = xml.EscapeText(&c.Buffer, []byte(words)) // a Buffer takes everything
	c.WriteString("</text>\n")
}

// points are places in pixels: x, y, x, y.
type points []float64

func (c *canvas) path(p points, pen string) {
	if len(p) < 4 {
		return
	}
	c.WriteString(`<polyline points="`)
	for i := 0; i < len(p); i += 2 {
		fmt.Fprintf(&c.Buffer, "%s,%s ", px(p[i]), px(p[i+1]))
	}
	fmt.Fprintf(&c.Buffer, `" %s/>`+"\n", pen)
}

// picture embeds a PNG.
func (c *canvas) picture(x, y, width, height float64, png []byte) {
	fmt.Fprintf(&c.Buffer, `<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" href="data:image/png;base64,%s"/>`+"\n",
		px(x), px(y), px(width), px(height), base64.StdEncoding.EncodeToString(png))
}

// px writes a length to a tenth of a pixel.
func px(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// trim writes a time to the millisecond.
func trim(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

// decibels writes a level with a true minus, or a word for silence.
func decibels(v float64, unit string) string {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return "none"
	}
	return strings.Replace(strconv.FormatFloat(v, 'f', 1, 64), "-", "−", 1) + " " + unit
}
