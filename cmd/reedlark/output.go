package main

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"

	"reedlark/cmd/reedlark/batch"
)

// stickyWriter remembers the first failed write, so that no output that is cut
// short looks like a success. An interrupt ends a write that nobody reads.
type stickyWriter struct {
	io.Writer
	ctx context.Context
	err error
}

func (s *stickyWriter) Write(p []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	n, err := batch.Await(s.ctx, func() (int, error) { return s.Writer.Write(p) })
	s.err = err
	return n, err
}

// writeTo writes to a file, or to standard output for a dash.
func (c *console) writeTo(ctx context.Context, name string, fill func(io.Writer) error) error {
	if name == batch.Dash {
		return fill(c.stdout)
	}
	return batch.WriteFile(ctx, name, fill)
}

// writeSome is writeTo for what may end early; see [batch.WriteSome].
func (c *console) writeSome(ctx context.Context, name, partial string, fill func(io.Writer) (bool, error)) error {
	if name == batch.Dash {
		_, err := fill(c.stdout)
		return err
	}
	return batch.WriteSome(ctx, name, partial, fill)
}

// notWritten says of a failure that it came from an interrupt, where it did.
func notWritten(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil {
		return errors.New("interrupted, not written")
	}
	return err
}

// errClosed is the error of a result for a standard output that was closed, as by
// >&-. Go opens the null device in its place, where the result would be lost.
var errClosed = errors.New("standard output is closed, or the null device opened for reading too; name a file, or use > /dev/null")

// checkOpen refuses an output that was named "-" where nothing could read it.
func (c *console) checkOpen(outs ...string) error {
	f, is := c.stdout.Writer.(*os.File)
	if is && slices.Contains(outs, batch.Dash) && isClosed(f) {
		return errClosed
	}
	return nil
}
