package scan

import (
	"strings"
	"unicode"
)

// longestTag is how many characters an HTML tag may have.
const longestTag = 80

// withoutTags is a line of a web page without the tags that only lay it out:
// they become blanks. Tags that underline or stress stay, for they can mean a
// breath.
func (c Cells) withoutTags() Cells {
	for i := 0; i < len(c); i++ {
		if c[i].R != '<' {
			continue
		}
		name := i + 1
		if name < len(c) && c[name].R == '/' {
			name++
		}
		end := name
		for end < len(c) && unicode.IsLetter(c[end].R) {
			end++
		}
		if !isLayout(c[name:min(end, name+longestAffix)].Text()) {
			continue
		}
		for end < len(c) && end-i < longestTag && c[end].R != '>' {
			end++
		}
		if end == len(c) || c[end].R != '>' {
			continue
		}
		for ; i <= end; i++ {
			c[i].R = Blank
		}
	}
	return c
}

// isLayout reports whether a tag of this name only lays a page out. ref: HTML
// Living Standard, sections 4.4, 4.5 and 4.9.
func isLayout(name string) bool {
	switch strings.ToLower(name) {
	case "p", "br", "div", "pre", "span", "li", "ul", "ol", "td", "tr", "table", "tbody", "code", "blockquote", "font", "center", "hr":
		return true
	}
	return false
}
