package server

import (
	"context"
	"net/http"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/openapi"
)

// The handlers of the contract, one line a route.

func (s *service) GetAudio(c echo.Context) error             { return s.audio(c) }
func (s *service) HeadAudio(c echo.Context) error            { return s.audio(c) }
func (s *service) PostAudio(c echo.Context) error            { return s.audio(c) }
func (s *service) GetScore(c echo.Context) error             { return s.score(c) }
func (s *service) HeadScore(c echo.Context) error            { return s.score(c) }
func (s *service) PostScore(c echo.Context) error            { return s.score(c) }
func (s *service) GetTab(c echo.Context) error               { return s.tab(c) }
func (s *service) HeadTab(c echo.Context) error              { return s.tab(c) }
func (s *service) PostTab(c echo.Context) error              { return s.tab(c) }
func (s *service) GetPicture(c echo.Context) error           { return s.picture(c) }
func (s *service) HeadPicture(c echo.Context) error          { return s.picture(c) }
func (s *service) PostPicture(c echo.Context) error          { return s.picture(c) }
func (s *service) GetHarps(c echo.Context) error             { return s.harps(c) }
func (s *service) HeadHarps(c echo.Context) error            { return s.harps(c) }
func (s *service) GetHarp(c echo.Context, key string) error  { return s.harp(c, key) }
func (s *service) HeadHarp(c echo.Context, key string) error { return s.harp(c, key) }
func (s *service) GetNote(c echo.Context, n string) error    { return s.note(c, n) }
func (s *service) HeadNote(c echo.Context, n string) error   { return s.note(c, n) }
func (s *service) GetHealth(c echo.Context) error            { return well(c) }
func (s *service) HeadHealth(c echo.Context) error           { return well(c) }
func (s *service) GetReady(c echo.Context) error             { return s.ready(c) }
func (s *service) HeadReady(c echo.Context) error            { return s.ready(c) }
func (s *service) GetContract(c echo.Context) error          { return s.contract(c) }
func (s *service) HeadContract(c echo.Context) error         { return s.contract(c) }

// The representations of each resource, the usual one first.
var (
	asWAV   = representation{"wav", "audio/wav", "wav"}
	asFLAC  = representation{"flac", "audio/flac", "flac"}
	asScore = representation{"json", "application/json", "json"}
	asMIDI  = representation{"midi", "audio/midi", "mid"}
	asSheet = representation{"musicxml", "application/vnd.recordare.musicxml+xml", "musicxml"}
	asPage  = representation{"", "text/plain", "txt"}
	asSVG   = representation{"", "image/svg+xml", "svg"}
)

func (s *service) audio(c echo.Context) error {
	if err := s.checkSigned(c.Request()); err != nil {
		return err
	}
	return s.tune(c, []representation{asWAV, asFLAC}, func(ctx context.Context, t *tabCall) (answer, error) {
		t.sound = true
		p, err := t.unprepared(ctx)
		if err != nil {
			return answer{}, err
		}
		tag := entityTag("audio", t.req.Canonical(), t.as.media, api.EngineVersion())
		return answer{
			media: t.as.media, tag: tag, file: fileName(p.Title(), t.as.ending), keep: t.keep, holds: soundVoice * p.Voices(),
			open: func() (content, error) { return t.sounding(p, tag) },
		}, nil
	})
}

func (s *service) score(c echo.Context) error {
	return s.tune(c, []representation{asScore, asMIDI, asSheet}, func(ctx context.Context, t *tabCall) (answer, error) {
		return t.file(ctx, "score", t.as.media, func(p *api.Piece) ([]byte, error) { return scored(ctx, t.as, p) })
	})
}

// scored is the score of a piece, written out.
func scored(ctx context.Context, as representation, p *api.Piece) ([]byte, error) {
	switch as {
	case asMIDI:
		return p.MIDI(ctx)
	case asSheet:
		return p.MusicXML(ctx, false)
	}
	score, err := p.Score(ctx)
	if err != nil {
		return nil, err
	}
	return api.JSON(score)
}

func (s *service) tab(c echo.Context) error {
	return s.tune(c, []representation{asPage}, func(ctx context.Context, t *tabCall) (answer, error) {
		return t.file(ctx, "tab", t.as.media+"; charset=utf-8", func(p *api.Piece) ([]byte, error) {
			page, err := p.Rewritten(ctx)
			return []byte(page), err
		})
	})
}

func (s *service) picture(c echo.Context) error {
	return s.tune(c, []representation{asSVG}, func(ctx context.Context, t *tabCall) (answer, error) {
		return t.file(ctx, "picture", t.as.media, func(p *api.Piece) ([]byte, error) { return p.Picture(ctx) })
	})
}

// tune is the way of every resource of a tab: read the request, settle on a
// representation, make what is asked for, send it.
func (s *service) tune(c echo.Context, offers []representation, made func(context.Context, *tabCall) (answer, error)) error {
	req, keep, err := request(c)
	if err != nil {
		return err
	}
	as, err := choose(c.Request(), req.Format, offers)
	if err != nil {
		return err
	}
	t := s.tabCall(c, req)
	t.as, t.keep = as, keep
	c.Response().Header().Set("Engine-Version", api.EngineVersion())
	defer t.visit.leave()
	defer t.coded.drop(s)
	if err := s.quotas.charge(c, 1); err != nil {
		return err
	}
	a, err := made(t.ctx(), t)
	if err != nil {
		return err
	}
	if err := s.hold(a.holds); err != nil {
		return err
	}
	defer s.letGo(a.holds)
	return s.send(c, a)
}

// ready is an answer that is there already. Its bytes are part of its tag,
// since words may change where no sound does.
func ready(body []byte, media, file, resource string, req api.Request) answer {
	return answer{
		media: media,
		tag:   entityTag(resource, req.Canonical(), media, api.EngineVersion(), string(body)),
		file:  file,
		open:  func() (content, error) { return text(body), nil },
	}
}

func (s *service) harps(c echo.Context) error {
	return s.facts(c, "harps", func(api.Request) (any, error) { return api.Harps(), nil })
}

func (s *service) harp(c echo.Context, key string) error {
	return s.facts(c, "harp", func(req api.Request) (any, error) {
		req, err := req.HarpNamed(key)
		if err != nil {
			return nil, err
		}
		return api.Chart(req)
	})
}

func (s *service) note(c echo.Context, name string) error {
	return s.facts(c, "note", func(req api.Request) (any, error) { return api.WhereNote(req, name) })
}

// facts is the way of the resources about harps.
func (s *service) facts(c echo.Context, file string, made func(api.Request) (any, error)) error {
	req, err := api.FromHarpQuery(c.Request().URL.RawQuery)
	if err != nil {
		return err
	}
	facts, err := made(req)
	if err != nil {
		return err
	}
	if _, err := choose(c.Request(), "", []representation{asScore}); err != nil {
		return err
	}
	body, err := api.JSON(facts)
	if err != nil {
		return err
	}
	return s.send(c, ready(body, asScore.media, file+".json", file, req))
}

func (s *service) contract(c echo.Context) error {
	return s.send(c, ready(openapi.Document, "application/yaml", "openapi.yaml", "openapi", api.Request{}))
}

func (s *service) ready(c echo.Context) error {
	if s.phase.Load() != open {
		return errNotReady
	}
	return well(c)
}

func well(c echo.Context) error {
	c.Response().Header().Set("Cache-Control", "no-store")
	return c.String(http.StatusOK, "ok\n")
}
