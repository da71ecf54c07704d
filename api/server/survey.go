package server

import (
	"context"
	"slices"

	"reedlark/api"
	"reedlark/api/server/admit"
	"reedlark/api/server/httpx"
)

// open finds out how long the file is.
func (s *soundFile) open() (httpx.Content, error) {
	l, err := s.page.WAV()
	if err != nil {
		return nil, err
	}
	s.blocks, s.head, s.cost = wavFile{l}, l.Head, s.page.Cost(s.of)
	s.seconds = float64(l.Frames) / float64(s.req.Rate)
	if s.of == api.FLACProduct {
		s.head = nil
		err = s.survey()
	}
	return s, err
}

// survey learns how long the FLAC file is, by making it: nothing else tells. What is
// made is kept, in the store or until it is sent, where it is not too much.
func (s *soundFile) survey() error {
	item, err := s.get(s.ctx, admit.Key{Kind: "file", Tag: s.tag}, func(ctx context.Context) (admit.Item, error) {
		if err := s.expect(s.cost, 0); err != nil {
			return nil, err
		}
		sound, err := s.prepared()
		if err != nil {
			return nil, err
		}
		return s.surveyed(ctx, sound)
	})
	if err == nil {
		s.blocks = item.(*flacFile)
	}
	return err
}

func (s *soundFile) surveyed(ctx context.Context, sound *api.Sound) (admit.Item, error) {
	var first block // waits for its head
	share, room := 1/float64(sound.FLACStretches()), s.store.Capacity()/4
	keep := func(number int64, b block) {
		if room -= int64(len(b)); room > 0 {
			s.store.Put(admit.Key{Kind: "sound", Tag: s.tag, Part: number}, b)
		} else {
			s.coded.add(s.memory, number, b)
		}
	}
	l, err := sound.SurveyFLAC(ctx,
		func(work func() error) error {
			slot, err := s.job.Acquire(ctx, 0)
			if err != nil {
				return err
			}
			defer slot.Release()
			return work()
		},
		func(number int, stretch []byte) error {
			s.made(share)
			if number == 0 {
				first = stretch
			} else {
				keep(int64(number), stretch)
			}
			return ctx.Err()
		})
	if err != nil {
		return nil, err
	}
	keep(0, slices.Concat(l.Head, first))
	return &flacFile{l}, nil
}
