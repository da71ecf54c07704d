package api_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// ending is a context that ends after it was asked a few times whether it has,
// so that a maker finds out in the middle of its work.
type ending struct {
	context.Context
	left int
}

func (e *ending) Err() error {
	if e.left--; e.left < 0 {
		return context.Canceled
	}
	return nil
}

func TestMakersStopInTheMiddle(t *testing.T) {
	req := api.Defaults()
	req.Tab = "4 -4 5 -5 | 6 -6 -7 7\n4 -4 5 -5 | 6 -6 -7 7\n4 -4 5 -5 | 6 -6 -7 7\n"
	piece, err := api.Open(t.Context(), req)
	require.NoError(t, err)
	for name, made := range map[string]func(context.Context) ([]byte, error){
		"midi":     piece.MIDI,
		"musicxml": func(ctx context.Context) ([]byte, error) { return piece.MusicXML(ctx, false) },
		"picture":  piece.Picture,
		"card":     piece.Card,
	} {
		for _, after := range []int{0, 1, 2} {
			file, err := made(&ending{t.Context(), after})
			require.ErrorIs(t, err, context.Canceled, name)
			assert.Empty(t, file, name)
		}
		file, err := made(t.Context())
		require.NoError(t, err, name)
		assert.NotEmpty(t, file, name)
	}
}

func TestOpeningStopsBetweenItsStages(t *testing.T) {
	req := api.Defaults()
	req.Tab = "4 -4 5"
	for _, after := range []int{0, 1} {
		_, err := api.Open(&ending{t.Context(), after}, req)
		require.ErrorIs(t, err, context.Canceled)
	}
}

func TestWhatWasNotPreparedCanBeAskedForAgain(t *testing.T) {
	req := api.Defaults()
	req.Tab = "4 -4 5"
	piece, err := api.Open(t.Context(), req)
	require.NoError(t, err)
	gone, leave := context.WithCancel(t.Context())
	leave()
	_, err = piece.Score(gone)
	require.ErrorIs(t, err, context.Canceled)
	assert.False(t, piece.Prepared())
	_, err = piece.Rewritten(gone)
	require.ErrorIs(t, err, context.Canceled)
	_, err = piece.Score(t.Context())
	require.NoError(t, err)
	assert.True(t, piece.Prepared())
}
