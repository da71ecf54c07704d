package harp_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab/harp"
)

// TestHarpFor: the circle of fifths, common practice, no source.
func TestHarpFor(t *testing.T) {
	for _, c := range []struct {
		song     string
		position int
		want     string
	}{{"G", 2, "C"}, {"A", 2, "D"}, {"C", 1, "C"}, {"D", 3, "C"}, {"E", 2, "A"}, {"F", 12, "C"}} {
		song, err := harp.ParseKey(c.song)
		require.NoError(t, err)
		assert.Equal(t, c.want, song.HarpFor(c.position).String(), "%s in position %d", c.song, c.position)
		assert.Equal(t, c.song, song.HarpFor(c.position).SongKey(c.position))
	}
}
