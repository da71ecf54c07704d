// Package server is the HTTP interface: it decodes a request, calls the one
// door and encodes what comes out, a sound, a score, a picture, a page.
//
// The resources of the contract have their routes generated from it; the pages
// for people, which it says nothing of, stand beside them. One function decides
// which failure is which status. Every answer of known size can be had in parts
// and is named by a tag before anything is rendered.
package server

import (
	"errors"
	"net/http"
	"sync/atomic"

	"github.com/labstack/echo/v4"

	"reedlark/api"
)

// service is the state of one server: about its callers, what is left of their
// quotas and nothing else.
type service struct {
	cfg    Config
	door   *api.Door
	gate   *gate
	store  *store
	quotas *quotas
	held   atomic.Int64 // bytes, by calls under way
	phase  atomic.Int32
}

func newServer(cfg Config) *service {
	store, err := newStore(cfg.CacheBytes, cfg.Observer)
	quotas, err2 := newQuotas(cfg.Quota)
	if err := errors.Join(err, err2); err != nil {
		panic(err) // their options are ours
	}
	gate := newGate(cfg.Slots, cfg.Line, cfg.Wait)
	gate.waited = cfg.Observer.Waited
	return &service{
		cfg: cfg, door: api.NewDoorWithin(cfg.Limits),
		gate: gate, store: store, quotas: quotas,
	}
}

func (s *service) handler() http.Handler {
	e := echo.New()
	e.IPExtractor = addresses(s.cfg.Proxy)
	e.HTTPErrorHandler = s.refuse
	e.Pre(escapedPath)
	e.Use(answering, s.watch, s.farewell, manners, shortURL)
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
