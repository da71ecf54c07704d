package picture

import (
	"bytes"
	"strconv"
	"strings"
	"unicode"
)

// canvas writes SVG. Text and values go through the escaping of XML, which also
// replaces what XML cannot say.
type canvas struct{ out bytes.Buffer }

func (c *canvas) bytes() []byte { return append(c.out.Bytes(), '\n') }

// tag writes a start tag without its end; pairs are names and values.
func (c *canvas) tag(name string, pairs []string) {
	c.out.WriteString("\n<" + name)
	for i := 0; i+1 < len(pairs); i += 2 {
		c.out.WriteString(" " + pairs[i] + `="`)
		c.text(pairs[i+1])
		c.out.WriteByte('"')
	}
}

func (c *canvas) open(name string, pairs ...string) {
	c.tag(name, pairs)
	c.out.WriteByte('>')
}

func (c *canvas) close(name string) { c.out.WriteString("</" + name + ">") }

func (c *canvas) leaf(name string, pairs ...string) {
	c.tag(name, pairs)
	c.out.WriteString("/>")
}

func (c *canvas) element(name, text string, pairs ...string) {
	c.open(name, pairs...)
	c.text(text)
	c.close(name)
}

func (c *canvas) text(s string) {
	_, _ = escape.WriteString(&c.out, printable(s)) // a buffer takes everything
}

// escape writes what has a meaning in XML as entities. ref: XML 1.0, section 2.4.
var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;", "\t", "&#x9;", "\n", "&#xA;", "\r", "&#xD;")

// printable is s with what no XML text may hold replaced. ref: XML 1.0, section
// 2.2. encoding/xml would do both, and takes 40 kB in a browser.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xFFFE || r == 0xFFFF {
			return unicode.ReplacementChar
		}
		return r
	}, s)
}

func (c *canvas) line(class, ink string, x1, y1, x2, y2, thick float64) {
	c.leaf("line", "class", class, "x1", num(x1), "y1", num(y1), "x2", num(x2), "y2", num(y2),
		"stroke", ink, "stroke-width", num(thick))
}

func (c *canvas) label(text string, x, y, size float64, anchor, ink string, more ...string) {
	pairs := append([]string{"x", num(x), "y", num(y), "font-size", num(size), "text-anchor", anchor, "fill", ink}, more...)
	c.element("text", text, pairs...)
}

// num is a length with at most two decimals, as short as it can be.
func num(x float64) string { return decimal(x, 2) }

// decimal is a number with so many decimals at most.
func decimal(x float64, most int) string {
	text := strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(x, 'f', most, 64), "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}
