package server

import (
	"cmp"
	"encoding/xml"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/api/web"
)

// oembed says how to embed one of our pages.
// ref: oEmbed 1.0, section 2.3.
type oembed struct {
	XMLName      xml.Name `json:"-" xml:"oembed"`
	Type         string   `json:"type" xml:"type"`
	Version      string   `json:"version" xml:"version"`
	Title        string   `json:"title" xml:"title"`
	ProviderName string   `json:"provider_name" xml:"provider_name"`
	ProviderURL  string   `json:"provider_url" xml:"provider_url"`
	CacheAge     int      `json:"cache_age" xml:"cache_age"`
	HTML         string   `json:"html" xml:"html"`
	Width        int      `json:"width" xml:"width"`
	Height       int      `json:"height" xml:"height"`
}

// oembed answers only for this server's own pages.
func (s *service) oembed(c echo.Context) error {
	q := api.SplitQuery(c.Request().URL.RawQuery)
	format := q.Get("format")
	if format != "" && format != "json" && format != "xml" {
		return echo.NewHTTPError(http.StatusNotImplemented)
	}
	width, err := bound(q, "maxwidth", web.FrameWidth)
	if err != nil {
		return err
	}
	height, err := bound(q, "maxheight", web.FrameHeight)
	if err != nil {
		return err
	}
	view, t, piece, err := s.view(c, s.ownQuery(c.Request(), q.Get("url")))
	if t != nil {
		t.end()
	}
	var call *api.CallError
	switch {
	case errors.As(err, &call) || err == nil && (piece == nil || view.Link == ""):
		return echo.ErrNotFound
	case err != nil:
		return err
	}
	title := cmp.Or(piece.Title(), web.Untitled)
	return s.writeOEmbed(c, format, oembed{
		Type: "rich", Version: "1.0", Title: title, ProviderName: "Reedlark", ProviderURL: view.Origin + "/",
		CacheAge: 86400, HTML: web.FrameCode(view.Origin, view.Link, title, strconv.Itoa(width), height), Width: width, Height: height,
	})
}

func (s *service) writeOEmbed(c echo.Context, format string, o oembed) error {
	c.Response().Header().Set("Cache-Control", keepUsual)
	if format == "xml" {
		text, err := xml.Marshal(o)
		if err != nil {
			return err
		}
		return s.write(c, http.StatusOK, "text/xml; charset=utf-8", append([]byte(xml.Header), text...))
	}
	text, err := api.JSON(o)
	if err != nil {
		return err
	}
	return s.write(c, http.StatusOK, "application/json", text)
}

// ownQuery is the query of an address of ours that can be embedded, else one that
// no page answers to.
func (s *service) ownQuery(r *http.Request, address string) api.Query {
	none := api.Query{}.With("z", "-")
	u, err := url.Parse(address)
	if err != nil || !s.ours(r, u.Host) || (u.Scheme != "http" && u.Scheme != "https") || (u.Path != "/" && u.Path != "/embed") {
		return none
	}
	q := api.SplitQuery(u.RawQuery)
	if q.Get("z") == "" && q.Get("tab") == "" {
		return none
	}
	return q
}

// ours says whether a host is this service: by its public address, or as the
// call names it.
func (s *service) ours(r *http.Request, host string) bool {
	_, public, _ := strings.Cut(s.cfg.PublicURL, "://")
	return host != "" && (host == public || host == r.Host)
}

// bound is a size, at most what the caller has room for.
func bound(q api.Query, name string, usual int) (int, error) {
	text := q.Get(name)
	if text == "" {
		return usual, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		return 0, &api.CallError{Kind: api.Malformed, Parameter: name, Detail: name + " is no whole number of pixels", Allowed: "1 or more"}
	}
	return min(n, usual), nil
}
