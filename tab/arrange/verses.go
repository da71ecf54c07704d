package arrange

import (
	"fmt"
	"strings"

	"reedlark/tab"
)

// otherVerses writes the verses that were not chosen as text at the end.
func (w *writer) otherVerses() {
	for v := 1; v <= w.tune.Verses; v++ {
		if v == w.verse {
			continue
		}
		lines := w.verseLines(v)
		if len(lines) == 0 {
			continue
		}
		w.blank()
		w.line(tab.TextLine, fmt.Sprintf("text: Verse %d", v))
		for _, l := range lines {
			w.line(tab.TextLine, "text: "+l)
		}
	}
}

// verseLines are the words of a verse, in lines.
func (w *writer) verseLines(v int) (lines []string) {
	var line strings.Builder
	var on bool
	for i := range w.tune.Notes {
		words := w.tune.Notes[i].Words
		if v > len(words) || words[v-1] == "" {
			continue
		}
		if line.Len() > widest-12 && !on {
			lines = append(lines, line.String())
			line.Reset()
		}
		if line.Len() > 0 && !on {
			line.WriteByte(' ')
		}
		text, goesOn := strings.CutSuffix(words[v-1], "-")
		line.WriteString(clean(text, maxTitle))
		on = goesOn
	}
	if line.Len() > 0 {
		lines = append(lines, line.String())
	}
	return lines
}
