package server

import (
	"context"
	"io"
	"net/http"
	"sync/atomic"
	"time"

	"reedlark/api"
	"reedlark/api/server/admit"
)

// soundFile is a file of sound that is made block by block while it is sent, each
// block once for all who ask for it.
type soundFile struct {
	*tabCall
	blocks
	page    *api.Piece                // until it is prepared
	sound   atomic.Pointer[api.Sound] // nil before that, and where a slow reader made it go; see prepared
	coded   codedBlocks
	head    []byte // what goes before the samples, where that goes alone
	tag     string
	seconds float64       // of sound
	cost    time.Duration // of the whole
	charged bool          // for what is left to send
}

// share is the part of the whole that n bytes are.
func (s *soundFile) share(n int64) float64 { return float64(n) / float64(s.Size()) }

// costOf is about what n bytes cost; a block is made whole.
func (s *soundFile) costOf(n int64) time.Duration {
	return time.Duration(s.share(min(max(n, blockBytes), s.Size())) * float64(s.cost))
}

// expectBytes says that n bytes are still to be made; the client is charged for
// them once.
func (s *soundFile) expectBytes(n int64) error {
	if s.charged {
		return s.job.Expect(s.costOf(n))
	}
	s.charged = true
	return s.expect(s.costOf(n), 0)
}

// WriteRange sends n bytes of the file from an offset on.
func (s *soundFile) WriteRange(ctx context.Context, w io.Writer, offset, n, more int64) error {
	if s.opened && offset == 0 && n == s.Size() {
		if err := s.sendHead(w); err != nil {
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
		if err := s.sendBlock(w, b); err != nil {
			return err
		}
		s.job.Commit()
		offset, n = offset+int64(len(b)), n-int64(len(b))
	}
	return nil
}

// sendHead sends what goes before the samples at once: it takes longer to know how
// loud a long piece is than how long. After it nothing can be refused any more.
func (s *soundFile) sendHead(w io.Writer) error {
	if len(s.head) == 0 {
		return nil
	}
	if err := s.expectBytes(s.Size()); err != nil {
		return err
	}
	s.job.Commit()
	if err := s.sendBlock(w, s.head); err != nil {
		return err
	}
	_ = http.NewResponseController(s.c.Response().Writer).Flush() // not every writer can
	return nil
}

// block is the block of a number, n bytes being left to send. It is made once for
// all who wait for it.
func (s *soundFile) block(ctx context.Context, number, n int64) (block, error) {
	item, outcome, flight, err := s.store.Find(ctx, admit.Key{Kind: "sound", Tag: s.tag, Part: number})
	for outcome == admit.Collapsed && s.notMine(err) {
		item, outcome, flight, err = s.store.Find(ctx, admit.Key{Kind: "sound", Tag: s.tag, Part: number})
	}
	if flight != nil {
		defer flight.Land()
		item, err = s.makeBlock(flight.Context, number, n)
		flight.Bring(item, err, true)
	}
	s.tellOutcome(outcome, err)
	if err != nil {
		return nil, err
	}
	return item.(block), nil
}

func (s *soundFile) makeBlock(ctx context.Context, number, n int64) (_ block, err error) {
	if b := s.coded.take(s.memory, number); b != nil {
		return b, nil
	}
	if err := s.expectBytes(n); err != nil {
		return nil, err
	}
	sound, err := s.prepared()
	if err != nil {
		return nil, err
	}
	ctx, end := s.cfg.Observer.Stage(ctx, "render")
	defer func() { end(err) }()
	slot, err := s.job.Acquire(ctx, 0)
	if err != nil {
		return nil, err
	}
	defer slot.Release()
	b, err := s.render(ctx, sound, number)
	if err == nil {
		s.made(s.share(int64(len(b))))
	}
	return b, err
}

// prepared is the sound. After a reader took his time its piece is looked for in
// the store again, or opened again.
func (s *soundFile) prepared() (*api.Sound, error) {
	if sound := s.sound.Load(); sound != nil {
		return sound, nil
	}
	page := s.page
	if s.page = nil; page == nil {
		var err error
		if page, err = s.piece(); err != nil {
			return nil, err
		}
	}
	if err := s.prepare(page, s.cost); err != nil {
		return nil, err
	}
	sound, err := page.Sound(s.ctx)
	if err != nil {
		return nil, err
	}
	sound = sound.Sequential()
	s.sound.Store(sound)
	return sound, nil
}

// made takes note of a share of the sound that was rendered.
func (s *soundFile) made(share float64) {
	s.cfg.Observer.Rendered(s.seconds * share)
	s.spend(time.Duration(share * float64(s.cost)))
}

// asleep is how long a block may take to be sent before its call lets go of its
// sound, so that one whose reader goes no faster than the music, or has gone to
// sleep, costs a block of memory, however long the tab.
const asleep = time.Second

// sendBlock sends a block; meanwhile the call keeps nobody from working.
func (s *soundFile) sendBlock(w io.Writer, b []byte) error {
	s.job.Pause()
	sleeping := time.AfterFunc(asleep, s.drop)
	_, err := w.Write(b)
	sleeping.Stop()
	s.job.Resume()
	return err
}

// drop lets go of what can be made again.
func (s *soundFile) drop() {
	s.sound.Store(nil)
	s.coded.drop(s.memory)
}
