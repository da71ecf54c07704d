package picture_test

import (
	"bytes"
	"image"
	"image/png"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/picture"
	"reedlark/tab/perform"
	"reedlark/tab/score"
)

func card(t *testing.T, s *score.Score, o picture.Options) image.Image {
	t.Helper()
	file, err := picture.Card(t.Context(), s, o)
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(file))
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, picture.CardWidth, picture.CardHeight), img.Bounds())
	return img
}

// inkIn is the share of black in the left or right half of a card.
func inkIn(img image.Image, x1, x2 int) float64 {
	black := 0
	for x := x1; x < x2; x++ {
		for y := range picture.CardHeight {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x2000 {
				black++
			}
		}
	}
	return float64(black) / float64((x2-x1)*picture.CardHeight)
}

// Blown notes are white with an edge, drawn ones black: the half of the card that
// is drawn has far more ink.
func TestCardTellsBreath(t *testing.T) {
	s, o := played(t, "4--- -4---", perform.Settings{})
	img := card(t, s, o)
	blown, drawn := inkIn(img, 0, picture.CardWidth/2), inkIn(img, picture.CardWidth/2, picture.CardWidth)
	assert.Greater(t, blown, 0.005)
	assert.Greater(t, drawn, 3*blown)
}

// A bend sinks on its card: there is ink below the line of the reed.
func TestCardBends(t *testing.T) {
	lowest := func(page string) (y int) {
		s, o := played(t, page, perform.Settings{})
		img := card(t, s, o)
		for y = picture.CardHeight - 1; y > 0; y-- {
			if r, _, _, _ := img.At(picture.CardWidth/10+60, y).RGBA(); r < 0x2000 {
				return y
			}
		}
		return y
	}
	assert.Greater(t, lowest("-3///---"), lowest("-3---")+20, "pixels")
}

func TestCardOfNothing(t *testing.T) {
	img := card(t, &score.Score{Tempo: 100}, picture.Options{})
	assert.Zero(t, inkIn(img, 0, picture.CardWidth))
}
