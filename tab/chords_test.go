package tab_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/tab"
	"reedlark/tab/diag"
)

// TestUnmarkedChords: a row of chords above tab is mentioned only where chords
// are to be played.
func TestUnmarkedChords(t *testing.T) {
	const page = "C G7 Am\n4 -4 5\nC is what he sings\n6 6\n"
	codes := func(o tab.Options) (n int) {
		for _, p := range tab.Parse(page, o).Problems {
			if p.Code == diag.ChordsUnmarked {
				n++
			}
		}
		return n
	}
	assert.Zero(t, codes(tab.Options{}))
	assert.Equal(t, 1, codes(tab.Options{Chords: true}))
}
