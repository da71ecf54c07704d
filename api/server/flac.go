package server

import (
	"context"
	"slices"
	"sync"
	"time"

	"reedlark/api"
)

// layout is a FLAC file, whose blocks are its stretches; the first has the head. It is
// kept, so that a file is surveyed once.
type layout struct{ api.FLACLayout }

func (l *layout) bytes() int { return len(l.Head) + 8*len(l.Ends) }

// Size is the length of the file in bytes.
func (l *layout) Size() int64 {
	if n := len(l.Ends); n > 0 {
		return l.Ends[n-1]
	}
	return int64(len(l.Head))
}

func (l *layout) find(offset int64) (number, begins int64) {
	i, _ := slices.BinarySearch(l.Ends, offset+1)
	if i > 0 {
		begins = l.Ends[i-1]
	}
	return int64(i), begins
}

func (l *layout) make(ctx context.Context, sound *api.Sound, number int64) (block, error) {
	b, err := sound.FLACStretch(ctx, int(number))
	if number == 0 {
		b = slices.Concat(l.Head, b)
	}
	return b, err
}

// survey learns how long the FLAC file is, by making it: nothing else tells. What
// is made is kept, where it is not too much, and so is what was learnt. It ends
// with ctx: it may be long, and if others wait for it, one of them goes on.
func (s *sounding) survey(ctx context.Context) error {
	v, err := s.get(ctx, key{"file", s.tag, 0}, func() (kept, error) {
		if err := s.admit(s.work, s.about(s.work)); err != nil {
			return nil, err
		}
		return s.surveyed(ctx)
	})
	if err == nil {
		s.blocks = v.(*layout)
	}
	return err
}

func (s *sounding) surveyed(ctx context.Context) (kept, error) {
	sound, err := s.heard(ctx)
	if err != nil {
		return nil, err
	}
	var first block // waits for its head
	var began time.Time
	share, room := 1/float64(sound.FLACStretches()), s.store.most/4
	l, err := sound.SurveyFLAC(ctx,
		func(work func() error) error {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			return s.visit.work(ctx, 0, func() error {
				began = time.Now()
				return work()
			})
		},
		func(number int, stretch []byte) error {
			s.note(share, time.Since(began))
			if number == 0 {
				first = stretch
				return nil
			}
			if room -= int64(len(stretch)); room < 0 {
				s.coded.add(s.service, int64(number), stretch)
				return nil
			}
			return s.keep(ctx, int64(number), stretch)
		})
	if err != nil {
		return nil, err
	}
	return &layout{l}, s.keep(ctx, 0, slices.Concat(l.Head, first))
}

// coded is what a survey has coded and the store has no room for, until it is sent:
// nothing is coded twice for a reader who takes it at once.
type coded struct {
	mu     sync.Mutex
	blocks map[int64]block
	bytes  int
}

// mostCoded is how much of the memory for calls under way all of that may take.
const mostCoded = mostHeld / 2

// add keeps a block, unless there is too much already.
func (c *coded) add(s *service, number int64, b block) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if s.held.Add(int64(len(b))) > mostCoded {
		s.letGo(len(b))
		return
	}
	if c.blocks == nil {
		c.blocks = map[int64]block{}
	}
	c.blocks[number] = b
	c.bytes += len(b)
}

// take hands out a block once; nil where there is none.
func (c *coded) take(s *service, number int64) block {
	c.mu.Lock()
	defer c.mu.Unlock()
	b := c.blocks[number]
	delete(c.blocks, number)
	c.bytes -= len(b)
	s.letGo(len(b))
	return b
}

// drop lets go of all blocks.
func (c *coded) drop(s *service) {
	c.mu.Lock()
	defer c.mu.Unlock()
	s.letGo(c.bytes)
	c.blocks, c.bytes = nil, 0
}

// keep puts a block into the store.
func (s *sounding) keep(ctx context.Context, number int64, b block) error {
	_, _, err := s.store.get(ctx, key{"sound", s.tag, number}, func() (kept, error) { return b, nil })
	return err
}
