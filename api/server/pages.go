package server

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"net/url"
	"path"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/api/server/admit"
	"reedlark/api/web"
)

// pages are the routes for people: what a browser shows and what it needs.
func (s *service) pages(e *echo.Echo) {
	for route, handler := range map[string]echo.HandlerFunc{
		"/": s.page, "/embed": s.embed, "/oembed": s.oembed, "/codes": s.codes, "/chart": s.ownChart, "/picture.png": s.card,
		"/notes": s.findNote, "/notes/:note": s.notePage, "/assets/:name": s.asset,
	} {
		e.GET(route, handler)
		e.HEAD(route, handler)
	}
}

// page is the one at which a tab is heard, followed and practised.
func (s *service) page(c echo.Context) error {
	c.Response().Header().Set("X-Frame-Options", "DENY")
	return s.show(c, web.PagePolicy, web.Page)
}

// embed is the player in others' pages, which may demand that it lets itself be
// embedded. ref: HTML, cross-origin embedder policies.
func (s *service) embed(c echo.Context) error {
	c.Response().Header().Set("Cross-Origin-Embedder-Policy", "require-corp")
	return s.show(c, web.EmbedPolicy, web.Embed)
}

// show answers with a page about the tab of a query. Where the server is busy it is
// refused by a problem: a page that says so would cost as much as one that does not.
func (s *service) show(c echo.Context, policy string, write func(io.Writer, web.View) error) error {
	view, t, piece, err := s.view(c, api.SplitQuery(c.Request().URL.RawQuery))
	if t != nil {
		defer t.end()
	}
	var out bytes.Buffer
	status := http.StatusOK
	if err == nil {
		err = t.show(&out, view, piece, write)
	}
	var refused *admit.Refusal
	switch {
	case errors.As(err, &refused) && refused.Reason != admit.OverQuota:
		return err
	case err != nil && c.Request().Context().Err() != nil:
		return err
	case err != nil:
		out.Reset()
		view.Lines = nil
		view.Refusal, status = s.refusal(c, err)
		err = write(&out, view)
	}
	if t != nil {
		t.release()
	}
	return s.html(c, status, policy, &out, err)
}

// show writes a page when it is the call's turn.
func (t *tabCall) show(out io.Writer, view web.View, piece *api.Piece, write func(io.Writer, web.View) error) error {
	if piece == nil {
		return t.work(t.ctx, t.req.RoughCost(t.of), func(context.Context) error { return write(out, view) })
	}
	cost := piece.Cost(t.of)
	if err := t.prepare(piece, cost); err != nil {
		return err
	}
	return t.work(t.ctx, cost, func(ctx context.Context) error {
		if err := fill(ctx, &view, piece); err != nil {
			return err
		}
		return write(out, view)
	})
}

// codes answers with the embed codes of a tab, which the page shows on demand.
func (s *service) codes(c echo.Context) error {
	view, t, piece, err := s.view(c, api.SplitQuery(c.Request().URL.RawQuery))
	if t != nil {
		t.end()
	}
	if err != nil {
		return err
	}
	if piece != nil {
		view.Title, view.Playable = piece.Title(), true
	}
	text, err := api.JSON(view.Codes())
	if err != nil {
		return err
	}
	c.Response().Header().Set("Cache-Control", "no-cache")
	return s.write(c, http.StatusOK, "application/json", text)
}

// ownChart is the chart of a harp whose layout is its owner's, which only a whole
// request can say.
func (s *service) ownChart(c echo.Context) error {
	req, err := api.FromQuery(c.Request().URL.RawQuery)
	if err != nil {
		return err
	}
	chart, err := api.Chart(req)
	if err != nil {
		return err
	}
	body, err := api.JSON(chart)
	if err != nil {
		return err
	}
	return s.send(c, fixed(body, asScore.Media, "harp.json", "harp", req))
}

// findNote is where the form of the page about a note leads.
func (s *service) findNote(c echo.Context) error {
	c.Response().Header().Set("Content-Length", "0")
	return c.Redirect(http.StatusSeeOther, "/notes/"+url.PathEscape(cmp.Or(c.QueryParam("note"), "C5")))
}

func (s *service) asset(c echo.Context) error {
	name, err := url.PathUnescape(c.Param("name"))
	if err != nil {
		return echo.ErrNotFound
	}
	body, err := fs.ReadFile(web.Assets(), name)
	if err != nil { // what is embedded fails only by not being there
		return s.engineFile(c, name)
	}
	a := fixed(body, mime.TypeByExtension(path.Ext(name)), name, "asset", api.Request{})
	a.CacheControl = "no-cache" // a script and the page it belongs to change together
	if name == web.Worker {     // a worker goes by the policy it was sent with, not by its page's
		c.Response().Header().Set("Content-Security-Policy", web.PagePolicy)
	}
	return s.send(c, a)
}

// keepForEver is for files whose names change with their bytes. ref: RFC 8246.
const keepForEver = "public, max-age=31536000, immutable"

// engineFile sends a file of the engine, where one was built for this version.
func (s *service) engineFile(c echo.Context, name string) error {
	engine, ok := web.BuiltEngine(api.EngineVersion())
	body, err := fs.ReadFile(web.EngineFiles(), name)
	if !ok || err != nil || name == ".gitkeep" {
		return echo.ErrNotFound
	}
	media := cmp.Or(mime.TypeByExtension(path.Ext(name)), "application/octet-stream")
	if name == engine.File {
		media = "application/octet-stream" // packed: it is the page that unpacks it
	}
	a := fixed(body, media, name, "engine", api.Request{})
	a.CacheControl = "no-cache"
	if name == engine.File {
		a.CacheControl = keepForEver
	}
	return s.send(c, a)
}
