// Package server is the HTTP interface: it decodes a request, calls the one door
// and encodes the answer: a sound, a score, a picture, a page.
//
// The resources of the contract have their routes generated from it; the pages for
// people, which it does not describe, stand beside them. httpx sends what is
// answered, admit says who may work and when; neither knows what the other does,
// and what a call costs is api's to say. One function decides which failure has
// which status.
package server

import (
	"fmt"
	"net/http"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/api/server/httpx"
)

// Handler is the HTTP interface without a listener.
func Handler(cfg Config) http.Handler { return newService(cfg.filled()).handler() }

func (s *service) handler() http.Handler {
	e := echo.New()
	e.IPExtractor = addresses(s.cfg.Proxy)
	e.HTTPErrorHandler = s.refuse
	e.Pre(escapedPath)
	e.Use(s.watch, s.closeConnection, headers, shortURL)
	RegisterHandlers(e, s)
	s.pages(e)
	return e
}

// escapedPath lets echo route by the path as it was sent, so that a harp's key
// is unescaped once, by the generated route, and not by chance.
func escapedPath(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		u := c.Request().URL
		u.RawPath = u.EscapedPath()
		return next(c)
	}
}

// closeConnection ends the connection after the answer where the server is closing,
// and after a request with a Transfer-Encoding, which may have had a Content-Length
// too: net/http does not say. ref: RFC 9112, section 6.1.
func (s *service) closeConnection(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if s.phase.Load() == closing || len(c.Request().TransferEncoding) > 0 {
			c.Response().Header().Set("Connection", "close")
		}
		return next(c)
	}
}

// everyMethod is what OPTIONS says of the server as a whole.
const everyMethod = "OPTIONS, GET, HEAD, POST"

// headers sets the fields that every answer has, and answers OPTIONS.
func headers(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		h, r := c.Response().Header(), c.Request()
		h.Set("Vary", "Accept")
		httpx.SetCORS(h)
		httpx.SetSecurityHeaders(h)
		allow, known := c.Get(echo.ContextKeyHeaderAllow).(string)
		if r.RequestURI == "*" {
			allow, known = everyMethod, true
		}
		if r.Method != http.MethodOptions || !known {
			return next(c)
		}
		httpx.SetPreflight(h, allow)
		return c.NoContent(http.StatusNoContent)
	}
}

// shortURL refuses a URL over the limit before anything reads it.
func shortURL(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if n := len(c.Request().RequestURI); n > api.MaxURL {
			return &api.CallError{Kind: api.UrlTooLong, Detail: fmt.Sprintf("the URL has %d bytes, but it may have %d: post the tab instead", n, api.MaxURL)}
		}
		return next(c)
	}
}
