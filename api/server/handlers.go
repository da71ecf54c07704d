package server

import (
	"context"
	"net/http"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/api/server/httpx"
	"reedlark/openapi"
)

// The handlers of the contract, one line a route.

func (s *service) HeadAudio(c echo.Context) error            { return s.GetAudio(c) }
func (s *service) PostAudio(c echo.Context) error            { return s.GetAudio(c) }
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
func (s *service) GetHealth(c echo.Context) error            { return s.well(c) }
func (s *service) HeadHealth(c echo.Context) error           { return s.well(c) }
func (s *service) GetReady(c echo.Context) error             { return s.ready(c) }
func (s *service) HeadReady(c echo.Context) error            { return s.ready(c) }
func (s *service) GetContract(c echo.Context) error          { return s.contract(c) }
func (s *service) HeadContract(c echo.Context) error         { return s.contract(c) }

// The representations of each resource, the usual one first.
var (
	asWAV   = httpx.Representation{Format: "wav", Media: "audio/wav", Ending: "wav"}
	asFLAC  = httpx.Representation{Format: "flac", Media: "audio/flac", Ending: "flac"}
	asScore = httpx.Representation{Format: "json", Media: "application/json", Ending: "json"}
	asMIDI  = httpx.Representation{Format: "midi", Media: "audio/midi", Ending: "mid"}
	asSheet = httpx.Representation{Format: "musicxml", Media: "application/vnd.recordare.musicxml+xml", Ending: "musicxml"}
	asTab   = httpx.Representation{Media: "text/plain", Ending: "txt"}
	asSVG   = httpx.Representation{Media: "image/svg+xml", Ending: "svg"}
	asPNG   = httpx.Representation{Media: "image/png", Ending: "png"}
)

// products are what a representation costs.
var products = map[httpx.Representation]api.Product{
	asWAV: api.WAVProduct, asFLAC: api.FLACProduct, asScore: api.ScoreProduct, asMIDI: api.MIDIProduct,
	asSheet: api.MusicXMLProduct, asTab: api.TabProduct, asSVG: api.PictureProduct, asPNG: api.CardProduct,
}

// called reads the request for something of a tab and begins its call, which has to
// end. keep is for how long the answer is fresh.
func (s *service) called(c echo.Context, offers ...httpx.Representation) (t *tabCall, keep string, err error) {
	req, keep, err := request(c)
	if err != nil {
		return nil, "", err
	}
	as, err := choose(c.Request(), req.Format, offers...)
	if err != nil {
		return nil, "", err
	}
	t, err = s.newCall(c, req, products[as])
	if err == nil {
		t.as = as
	}
	return t, keep, err
}

// GetAudio answers with a sound.
func (s *service) GetAudio(c echo.Context) error {
	if err := s.checkSigned(c.Request()); err != nil {
		return err
	}
	t, keep, err := s.called(c, asWAV, asFLAC)
	if err != nil {
		return err
	}
	defer t.end()
	p, err := t.piece()
	if err != nil {
		return err
	}
	held := soundVoice * p.Voices()
	if err := s.memory.Reserve(held); err != nil {
		return err
	}
	defer s.memory.Release(held)
	sound := &soundFile{tabCall: t, page: p, tag: httpx.EntityTag("audio", t.req.Canonical(), t.as.Media, api.EngineVersion())}
	defer sound.drop()
	return s.send(c, httpx.Answer{
		Media: t.as.Media, Tag: sound.tag, File: httpx.FileName(p.Title(), unnamed, t.as.Ending), CacheControl: keep,
		Open: sound.open,
	})
}

// soundVoice is the bytes of a plan for each voice, as measured.
const soundVoice = 400

func (s *service) score(c echo.Context) error {
	return s.made(c, "score", "", func(ctx context.Context, t *tabCall, p *api.Piece) ([]byte, error) {
		switch t.of {
		case api.MIDIProduct:
			return p.MIDI(ctx)
		case api.MusicXMLProduct:
			return p.MusicXML(ctx, false)
		}
		score, err := p.Score(ctx)
		if err != nil {
			return nil, err
		}
		return api.JSON(score)
	}, asScore, asMIDI, asSheet)
}

func (s *service) tab(c echo.Context) error {
	return s.made(c, "tab", "; charset=utf-8", func(ctx context.Context, _ *tabCall, p *api.Piece) ([]byte, error) {
		page, err := p.Rewritten(ctx)
		return []byte(page), err
	}, asTab)
}

func (s *service) picture(c echo.Context) error {
	return s.made(c, "picture", "", func(ctx context.Context, _ *tabCall, p *api.Piece) ([]byte, error) { return p.Picture(ctx) }, asSVG)
}

// card is the picture for sites that show links, which take no SVG.
func (s *service) card(c echo.Context) error {
	return s.made(c, "card", "", func(ctx context.Context, _ *tabCall, p *api.Piece) ([]byte, error) { return p.Card(ctx) }, asPNG)
}

// made answers with a file that is made whole of a tab.
func (s *service) made(c echo.Context, resource, charset string, make func(context.Context, *tabCall, *api.Piece) ([]byte, error), offers ...httpx.Representation) error {
	t, keep, err := s.called(c, offers...)
	if err != nil {
		return err
	}
	defer t.end()
	f, err := t.file(resource, t.as.Media+charset, func(ctx context.Context, p *api.Piece) ([]byte, error) { return make(ctx, t, p) })
	if err != nil {
		return err
	}
	return t.sendFile(f, keep)
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

// facts answers with what is known about harps.
func (s *service) facts(c echo.Context, file string, about func(api.Request) (any, error)) error {
	req, err := api.FromHarpQuery(c.Request().URL.RawQuery)
	if err != nil {
		return err
	}
	facts, err := about(req)
	if err != nil {
		return err
	}
	if _, err := choose(c.Request(), "", asScore); err != nil {
		return err
	}
	body, err := api.JSON(facts)
	if err != nil {
		return err
	}
	return s.send(c, fixed(body, asScore.Media, file+".json", file, req))
}

func (s *service) contract(c echo.Context) error {
	return s.send(c, fixed(openapi.Document, "application/yaml", "openapi.yaml", "openapi", api.Request{}))
}

func (s *service) ready(c echo.Context) error {
	if s.phase.Load() != open {
		return errNotReady
	}
	return s.well(c)
}

func (s *service) well(c echo.Context) error {
	c.Response().Header().Set("Cache-Control", "no-store")
	return s.write(c, http.StatusOK, "text/plain; charset=UTF-8", []byte("ok\n"))
}
