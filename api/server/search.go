package server

import (
	"context"
	"errors"
	"io"
	"mime"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"reedlark/api"
)

func (s *service) GetFind(c echo.Context) error         { return s.find(c) }
func (s *service) HeadFind(c echo.Context) error        { return s.find(c) }
func (s *service) PostFind(c echo.Context) error        { return s.find(c) }
func (s *service) PostArrangement(c echo.Context) error { return s.arrangement(c) }

// find answers which harps play a melody.
func (s *service) find(c echo.Context) error {
	search, err := findRequest(c)
	if err != nil {
		return err
	}
	if _, err := choose(c.Request(), "", asScore); err != nil {
		return err
	}
	var body []byte
	err = s.searching(c, search.Cost(), func(ctx context.Context) error {
		found, err := api.Find(ctx, search)
		if err == nil {
			body, err = api.JSON(found)
		}
		return err
	})
	if err != nil {
		return err
	}
	return s.send(c, fixed(body, asScore.Media, "find.json", "find", api.Request{}))
}

// searching does what a search costs, as a call of its own.
func (s *service) searching(c echo.Context, cost time.Duration, do func(context.Context) error) error {
	t, err := s.newCall(c, api.Request{}, api.ScoreProduct)
	if err != nil {
		return err
	}
	defer t.end()
	return t.work(t.ctx, cost, do)
}

func findRequest(c echo.Context) (api.Search, error) {
	r := c.Request()
	if r.Method != http.MethodPost {
		return api.FindFromQuery(r.URL.RawQuery)
	}
	body, err := postedJSON(c)
	if err != nil {
		return api.Search{}, err
	}
	return api.FindFromJSON(body)
}

// arrangement answers a score as a page of tab.
func (s *service) arrangement(c echo.Context) error {
	search, err := api.ArrangeFromQuery(c.Request().URL.RawQuery)
	if err != nil {
		return err
	}
	file, err := readScore(c)
	if err != nil {
		return err
	}
	as, err := choose(c.Request(), "", asScore, asTab)
	if err != nil {
		return err
	}
	var body []byte
	err = s.searching(c, file.Cost(), func(ctx context.Context) error {
		arranged, err := api.Arrange(ctx, search, file)
		if err != nil {
			return err
		}
		if body = []byte(arranged.Tab); as == asScore {
			body, err = api.JSON(arranged)
		}
		return err
	})
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Vary", "Accept")
	media := asScore.Media
	if as == asTab {
		media = asTab.Media + "; charset=utf-8"
	}
	return s.write(c, http.StatusOK, media, body)
}

// readScore reads a score that is the body of a request.
func readScore(c echo.Context) (api.ScoreFile, error) {
	r := c.Request()
	media, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	coding := strings.ToLower(r.Header.Get("Content-Encoding"))
	switch {
	case err != nil || !slices.Contains(api.ScoreMedia(), media):
		return api.ScoreFile{}, wrongMedia("the body is not a score: its Content-Type is " + strings.Join(api.ScoreMedia(), ", or "))
	case coding != "" && coding != "identity":
		return api.ScoreFile{}, wrongMedia("the body is compressed: send it as it is")
	}
	tooLarge := &api.CallError{Kind: api.TooLarge, Detail: "the score is too large: it may be 2 MiB"}
	if r.ContentLength > api.MaxScore {
		c.Response().Header().Set("Connection", "close") // rather than read the rest
		return api.ScoreFile{}, tooLarge
	}
	data, err := io.ReadAll(http.MaxBytesReader(c.Response(), r.Body, api.MaxScore))
	var over *http.MaxBytesError
	switch {
	case errors.As(err, &over):
		return api.ScoreFile{}, tooLarge
	case err != nil:
		return api.ScoreFile{}, &api.CallError{Kind: api.Malformed, Detail: "the body broke off"}
	}
	return api.ScoreFile{Data: data, Media: media}, nil
}
