package server

import (
	"context"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/openapi"
)

// PostRhythm writes the rhythm of taps into a page.
func (s *service) PostRhythm(c echo.Context) error {
	body, err := postedJSON(c)
	if err != nil {
		return err
	}
	q, err := api.RhythmFromJSON(body)
	if err != nil {
		return err
	}
	as, err := choose(c.Request(), "", asScore)
	if err != nil {
		return err
	}
	t, err := s.newCall(c, q.Request, api.ScoreProduct)
	if err != nil {
		return err
	}
	defer t.end()
	var answer openapi.Rhythm
	err = t.work(t.ctx, q.Cost(), func(ctx context.Context) (err error) {
		answer, err = s.door.Rhythm(ctx, q)
		return err
	})
	if err != nil {
		t.countRefused(err)
		return err
	}
	text, err := api.JSON(answer)
	if err != nil {
		return err
	}
	t.release()
	return s.send(c, fixed(text, as.Media, "rhythm.json", "rhythm", q.Request))
}
