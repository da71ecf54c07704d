package server

import (
	"time"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/openapi"
)

// eachTap is about how long a tap takes to be understood, where nobody says how long
// a beat is. ref: BenchmarkRhythm.
const eachTap = 2 * time.Millisecond

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
	as, err := choose(c.Request(), "", []representation{asScore})
	if err != nil {
		return err
	}
	out, err := s.rhythm(c, q)
	if err != nil {
		return err
	}
	text, err := api.JSON(out)
	if err != nil {
		return err
	}
	return s.send(c, ready(text, as.media, "rhythm.json", "rhythm", q.Request))
}

// rhythm waits for its turn and understands the taps.
func (s *service) rhythm(c echo.Context, q api.RhythmRequest) (out openapi.Rhythm, err error) {
	t := s.tabCall(c, q.Request)
	c.Response().Header().Set("Engine-Version", api.EngineVersion())
	defer t.visit.leave()
	if err := s.quotas.charge(c, 1); err != nil {
		return out, err
	}
	cost := time.Duration(len(q.Taps))*eachTap + time.Duration(len(q.Tab))*pageByte
	if err := t.visit.expect(cost); err != nil {
		return out, err
	}
	err = t.visit.work(t.ctx(), cost, func() error {
		out, err = s.door.Rhythm(t.ctx(), q)
		return err
	})
	return out, t.told(err)
}
