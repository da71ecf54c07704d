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
	if b := s.coded.take(s.service, number); b != nil {
		return b, nil
	}
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
	if err != nil {
		return nil, err
	}
	sound = sound.Sequential()
	s.sound.Store(sound)
	return sound, nil
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
	sleeping := time.AfterFunc(asleep, func() {
		s.sound.Store(nil)
		s.coded.drop(s.service)
	})
	_, err := w.Write(b)
	sleeping.Stop()
	if !late.Stop() {
		s.visit.goOn(&sent)
	}
	return err
}

// sounding is the sound of a piece as a file.
func (t *tabCall) sounding(piece *api.Piece, tag string) (content, error) {
	l, err := piece.WAV()
	if err != nil {
		return nil, err
	}
	out := &sounding{
		tabCall: t, tag: tag, times: 1, blocks: wavFile{l}, page: piece, head: l.Head,
		seconds: float64(l.Frames) / float64(t.req.Rate), work: piece.Work(),
	}
	if t.as == asFLAC {
		out.times, out.head = flacTimes, nil
		err = out.survey(t.c.Request().Context())
	}
	return out, err
}

// wavFile is a WAV file in blocks of as many whole frames as fill one; the first
// has the head, too.
type wavFile struct{ api.WAVLayout }

// Size is the length of the file in bytes.
func (f wavFile) Size() int64 { return f.WAVLayout.Size }

// blockCell is what the frames of a block are a multiple of, so that it goes on
// where the one before ended.
const blockCell = 64

// step is the bytes of samples in a block.
func (f wavFile) step() int64 {
	return int64(blockBytes / f.FrameBytes / blockCell * blockCell * f.FrameBytes)
}

func (f wavFile) find(offset int64) (number, begins int64) {
	head := int64(len(f.Head))
	if number = max(0, offset-head) / f.step(); number == 0 {
		return 0, 0
	}
	return number, head + number*f.step()
}

func (f wavFile) make(ctx context.Context, sound *api.Sound, number int64) (block, error) {
	end := int64(len(f.Head)) + (number+1)*f.step()
	_, from := f.find(end - 1)
	n := min(end, f.Size()) - from
	var out bytes.Buffer
	out.Grow(int(n))
	err := sound.WriteRange(ctx, &out, from, n)
	return out.Bytes(), err
}
