package api_test

import (
	"bytes"
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/api"
)

func soundOf(t *testing.T, query string) *api.Sound {
	t.Helper()
	req, err := api.FromQuery(query)
	require.NoError(t, err)
	piece, err := api.Open(t.Context(), req)
	require.NoError(t, err)
	sound, err := piece.Sound(t.Context())
	require.NoError(t, err)
	return sound
}

// Any stretch of the file is the same as that stretch of the whole.
func TestAnyRangeOfBytes(t *testing.T) {
	for _, query := range []string{
		"tab=4+-3//+[5]6+%7B4+5%7D+-45&rate=22050", "tab=4+-3//+5&rate=22050&depth=24", "tab=4+-3//+5&rate=22050&channels=2&depth=24&room=1",
		"tab=4+-3//+5%0A6&rate=22050&cues=true", "tab=4%0A5%0A6&rate=22050&depth=24&cues=true",
	} {
		sound := soundOf(t, query)
		var whole bytes.Buffer
		require.NoError(t, sound.WriteTo(t.Context(), &whole))
		require.EqualValues(t, sound.Size(), whole.Len())
		rapid.Check(t, func(t *rapid.T) {
			offset := rapid.Int64Range(0, sound.Size()).Draw(t, "offset")
			n := rapid.Int64Range(0, min(5000, sound.Size()-offset)).Draw(t, "n")
			var part bytes.Buffer
			require.NoError(t, sound.WriteRange(context.Background(), &part, offset, n))
			require.True(t, bytes.Equal(whole.Bytes()[offset:offset+n], part.Bytes()))
		})
	}
}

func TestRangesOutsideTheFile(t *testing.T) {
	sound := soundOf(t, "tab=4&rate=22050")
	for _, r := range [][2]int64{{-1, 1}, {0, -1}, {0, sound.Size() + 1}, {sound.Size(), 1}} {
		require.Error(t, sound.WriteRange(t.Context(), &bytes.Buffer{}, r[0], r[1]))
	}
}

var errFull = errors.New("the disk is full")

// full is a writer that takes so many bytes and no more.
type full struct{ left int }

func (f *full) Write(b []byte) (int, error) {
	if len(b) > f.left {
		return f.left, errFull
	}
	f.left -= len(b)
	return len(b), nil
}

func TestFailuresOfTheWriterAreTold(t *testing.T) {
	sound := soundOf(t, "tab=4+5+6+7&rate=22050")
	for _, room := range []int{0, 10, 1000, 70_000, int(sound.Size()) - 1} {
		require.ErrorIs(t, sound.WriteTo(t.Context(), &full{room}), errFull, room)
	}
	require.NoError(t, sound.WriteTo(t.Context(), &full{int(sound.Size())}))
	ctx, stop := context.WithCancel(t.Context())
	stop()
	require.ErrorIs(t, sound.WriteTo(ctx, &bytes.Buffer{}), context.Canceled)
}
