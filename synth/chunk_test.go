package synth

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestFailsBeside: a mistake in one chunk is an error, and no chunk beside it
// waits for what will never come.
func TestFailsBeside(t *testing.T) {
	for _, workers := range []int{1, 3} {
		s := mixed(t, 11, 60, roomy)
		blows(s)[len(blows(s))/2][0].Breakpoints[0].A = 1 << 20 // there is no such timbre
		err := s.newLine(workers).render(context.Background(), 0, s.Frames(), func([]int32) error { return nil })
		assert.ErrorContains(t, err, "mistake in the renderer")
	}
}
