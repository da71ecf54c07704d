package rhythm

import (
	"strings"
	"unicode/utf8"
)

// counted is a text under way that knows how many characters it has, so that a
// long row is not counted anew for each of its notes.
type counted struct {
	text       strings.Builder
	characters int
}

// WriteString adds to the text.
func (c *counted) WriteString(s string) {
	c.text.WriteString(s)
	c.characters += utf8.RuneCountInString(s)
}

func (c *counted) String() string { return c.text.String() }
