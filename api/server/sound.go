package server

import (
	"bytes"
	"context"
	"io"
	"time"

	"reedlark/api"
)

// blockBytes is how much of a sound is made, kept and sent at a time. It bounds
// what a call holds while its listener is slow: one block, which it shares.
const blockBytes = 64 << 10

// block is a stretch of a file of sound.
type block []byte

func (b block) bytes() int { return len(b) }

// made is a file of sound any stretch of which can be made alone.
type made interface {
	Size() int64
	WriteRange(ctx context.Context, w io.Writer, offset, n int64) error
}

// sounding is a file of sound that is made block by block while it is sent, each
// block once for all who ask for it.
type sounding struct {
	*tabCall
	file    made
	tag     string
	seconds float64 // of sound
	work    float64 // voice-seconds
}

func (s *sounding) Size() int64 { return s.file.Size() }

// share is the part of the whole that n bytes are.
func (s *sounding) share(n int64) float64 { return float64(n) / float64(s.file.Size()) }

// WriteRange sends n bytes of the file from an offset on.
func (s *sounding) WriteRange(ctx context.Context, w io.Writer, offset, n int64) error {
	for n > 0 {
		b, err := s.block(ctx, offset/blockBytes, n)
		if err != nil {
			return err
		}
		b = b[offset%blockBytes:]
		b = b[:min(n, int64(len(b)))]
		if err := s.send(w, b); err != nil {
			return err
		}
		s.visit.must = true
		offset, n = offset+int64(len(b)), n-int64(len(b))
	}
	return nil
}

// block is the block of a number, n bytes being left to send.
func (s *sounding) block(ctx context.Context, number, n int64) (block, error) {
	v, err := s.get(ctx, key{"sound", s.tag, number}, func() (kept, error) {
		if err := s.admit(s.work*s.share(n), s.gate.time(s.work*s.share(n))); err != nil {
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
	from := number * blockBytes
	n := min(blockBytes, s.file.Size()-from)
	ctx, end := s.cfg.Observer.Stage(ctx, "render")
	defer func() { end(err) }()
	out := bytes.NewBuffer(make([]byte, 0, n))
	err = s.visit.work(ctx, 0, func() error {
		began := time.Now()
		err := s.file.WriteRange(ctx, out, from, n)
		s.gate.learn(s.work*s.share(n), time.Since(began))
		return err
	})
	if err == nil {
		s.cfg.Observer.Rendered(s.seconds * s.share(n))
	}
	return out.Bytes(), err
}

// patience is how long a piece may take to be sent before its call stands aside
// and lets others in.
const patience = 5 * time.Millisecond

// send sends a block; a listener who is slow to take it keeps nobody out.
func (s *sounding) send(w io.Writer, b []byte) error {
	sent := false
	late := time.AfterFunc(patience, func() { s.visit.stalled(&sent) })
	_, err := w.Write(b)
	if !late.Stop() {
		s.visit.goOn(&sent)
	}
	return err
}

// sounding is the sound of a piece as a file.
func (t *tabCall) sounding(piece *api.Piece, tag string) (content, error) {
	sound, err := piece.Sound()
	if err != nil {
		return nil, err
	}
	out := &sounding{
		tabCall: t, file: sound, tag: tag,
		seconds: float64(sound.Frames()) / float64(t.req.Rate), work: piece.Work(),
	}
	if t.as == asFLAC {
		return t.flac(out, sound)
	}
	return out, nil
}

// flac is the sound as FLAC.
func (t *tabCall) flac(s *sounding, sound *api.Sound) (content, error) {
	ctx := t.ctx()
	v, err := t.get(ctx, key{"file", s.tag, 0}, func() (kept, error) {
		about := flacTimes * t.gate.time(s.work)
		if err := t.admit(s.work, about); err != nil {
			return nil, err
		}
		var b block
		err := t.visit.work(ctx, about, func() (err error) {
			b, err = sound.FLAC(ctx)
			return err
		})
		t.cfg.Observer.Rendered(s.seconds)
		return b, err
	})
	if err != nil {
		return nil, err
	}
	return text(v.(block)), nil
}
