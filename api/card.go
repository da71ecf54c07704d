//go:build !js

package api

import (
	"context"

	"reedlark/api/format/picture"
)

// Card is the beginning of the picture as PNG, for sites that show links. It
// fails when ctx ends.
func (p *Piece) Card(ctx context.Context) ([]byte, error) {
	return picture.Card(ctx, p.score, p.pictured())
}
