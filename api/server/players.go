package server

import (
	"context"
	"io"
	"time"
)

// players bounds how many calls are worked on at once: each holds a token.
type players chan struct{}

// patience is how long a call waits for a token before it is told to come back.
const patience = time.Second

func newPlayers(n int) players { return make(players, n) }

// take waits for a token; false says that all are taken.
func (p players) take(ctx context.Context) bool {
	timer := time.NewTimer(patience)
	defer timer.Stop()
	select {
	case p <- struct{}{}:
		return true
	case <-timer.C:
		return false
	case <-ctx.Done():
		return false
	}
}

func (p players) give() { <-p }

// lent is content made by whoever holds a token, which is given back for as
// long as it takes to write, so that a slow listener keeps nobody from being
// heard.
type lent struct {
	content
	players players
}

func (l lent) WriteRange(ctx context.Context, w io.Writer, offset, n int64) error {
	return l.content.WriteRange(ctx, lender{l.players, w}, offset, n)
}

type lender struct {
	players players
	w       io.Writer
}

func (l lender) Write(b []byte) (int, error) {
	l.players.give()
	defer func() { l.players <- struct{}{} }()
	return l.w.Write(b)
}
