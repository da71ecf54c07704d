package server

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"sync/atomic"
	"time"

	"reedlark/api"
)

// blockBytes is how much of a sound is made, kept and sent at a time. It bounds
// what a call holds while its listener is slow: one block, which it shares.
const blockBytes = 64 << 10

// block is a stretch of a file of sound.
type block []byte

func (b block) bytes() int { return len(b) }

// blocks is a file of sound of which any block can be made alone.
type blocks interface {
	Size() int64
	find(offset int64) (number, begins int64) // the block that has a byte, and its first
	make(ctx context.Context, sound *api.Sound, number int64) (block, error)
}

// sounding is a file of sound that is made block by block while it is sent, each
// block once for all who ask for it.
type sounding struct {
	*tabCall
	blocks
	page    *api.Piece                // until it is heard
	sound   atomic.Pointer[api.Sound] // nil before that, and where a slow listener let it go; see heard
	head    []byte                    // what goes before the samples, where it goes alone
	tag     string
	seconds float64 // of sound
	work    float64 // voice-seconds
	times   float64 // as much as to render them
}

// share is the part of the whole that n bytes are.
func (s *sounding) share(n int64) float64 { return float64(n) / float64(s.Size()) }

// about is how long it is thought to take to make some voice-seconds.
func (s *sounding) about(work float64) time.Duration {
	return time.Duration(s.times * float64(s.gate.time(work)))
}

// WriteRange sends n bytes of the file from an offset on.
func (s *sounding) WriteRange(ctx context.Context, w io.Writer, offset, n, more int64) error {
	if s.first && offset == 0 && n == s.Size() {
		if err := s.begin(w); err != nil {
			return err
		}
		offset = int64(len(s.head))
		n -= offset
	}
	for n > 0 {
		number, begins := s.find(offset)
		b, err := s.block(ctx, number, n+more)
		if err != nil {
			return err
		}
		b = b[offset-begins:]
		b = b[:min(n, int64(len(b)))]
		if err := s.send(w, b); err != nil {
			return err
		}
		s.visit.must = true
		offset, n = offset+int64(len(b)), n-int64(len(b))
	}
	return nil
}

// begin sends what goes before the samples at once: it takes longer to know how
// loud a long piece is than how long. After it nothing can be refused any more.
func (s *sounding) begin(w io.Writer) error {
	if len(s.head) == 0 {
		return nil
	}
	if err := s.admit(s.work, s.about(s.work)); err != nil {
		return err
	}
	s.visit.must = true
	if _, err := w.Write(s.head); err != nil {
		return err
	}
	_ = http.NewResponseController(s.c.Response().Writer).Flush() // not every writer can
	return nil
}

// block is the block of a number, n bytes being left to send.
func (s *sounding) block(ctx context.Context, number, n int64) (block, error) {
	v, err := s.get(ctx, key{"sound", s.tag, number}, func() (kept, error) {
		work := s.work * s.share(min(max(n, blockBytes), s.Size())) // a block is made whole
		if err := s.admit(work, s.about(work)); err != nil {
			return nil, err
		}
		return s.render(ctx, number)
	})
	if err != nil {
		return nil, err
	}
	return v.(block), nil
}

// render makes a block.
func (s *sounding) render(ctx context.Context, number int64) (b block, err error) {
	sound, err := s.heard(ctx)
	if err != nil {
		return nil, err
	}
	ctx, end := s.cfg.Observer.Stage(ctx, "render")
	defer func() { end(err) }()
	var took time.Duration
	err = s.visit.work(ctx, 0, func() (err error) {
		began := time.Now()
		b, err = s.make(ctx, sound, number)
		took = time.Since(began)
		return err
	})
	if err == nil {
		s.note(s.share(int64(len(b))), took)
	}
	return b, err
}

// heard is the sound. After a listener took his time its piece is looked for in the
// store again, or opened again.
func (s *sounding) heard(ctx context.Context) (sound *api.Sound, err error) {
	if sound = s.sound.Load(); sound != nil {
		return sound, nil
	}
	page := s.page
	if s.page = nil; page == nil {
		if page, err = s.unprepared(ctx); err != nil {
			return nil, err
		}
	}
	if err = s.prepare(ctx, page); err == nil {
		sound, err = page.Sound(ctx)
	}
	s.sound.Store(sound)
	return sound, err
}

// note takes note of a share of the sound that was rendered.
func (s *sounding) note(share float64, took time.Duration) {
	s.cfg.Observer.Rendered(s.seconds * share)
	s.gate.learn(s.work*share, time.Duration(float64(took)/s.times))
}

// How long a block may take to be sent: after patience its call stands aside and
// lets others in, after asleep it lets go of its sound, so that one who listens no
// faster than in real time, or has gone to sleep, costs a block of memory, however
// long the tab.
const (
	patience = 5 * time.Millisecond
	asleep   = time.Second
)

// send sends a block; a listener who is slow to take it keeps nobody out.
func (s *sounding) send(w io.Writer, b []byte) error {
	sent := false
	late := time.AfterFunc(patience, func() { s.visit.stalled(&sent) })
	sleeping := time.AfterFunc(asleep, func() { s.sound.Store(nil) })
	_, err := w.Write(b)
	sleeping.Stop()
	if !late.Stop() {
		s.visit.goOn(&sent)
	}
	return err
}

// sounding is the sound of a piece as a file.
func (t *tabCall) sounding(piece *api.Piece, tag string) (content, error) {
	head, frames, size, err := piece.Head()
	if err != nil {
		return nil, err
	}
	out := &sounding{
		tabCall: t, tag: tag, times: 1, blocks: wavFile(size), page: piece, head: head,
		seconds: float64(frames) / float64(t.req.Rate), work: piece.Work(),
	}
	if t.as == asFLAC {
		out.times, out.head = flacTimes, nil
		err = out.survey(t.c.Request().Context())
	}
	return out, err
}

// wavFile is a WAV file of so many bytes, in blocks of one size.
type wavFile int64

func (f wavFile) Size() int64 { return int64(f) }

func (f wavFile) find(offset int64) (number, begins int64) {
	return offset / blockBytes, offset &^ (blockBytes - 1)
}

func (f wavFile) make(ctx context.Context, sound *api.Sound, number int64) (block, error) {
	from := number * blockBytes
	n := min(blockBytes, f.Size()-from)
	var out bytes.Buffer
	out.Grow(int(n))
	err := sound.WriteRange(ctx, &out, from, n)
	return out.Bytes(), err
}
