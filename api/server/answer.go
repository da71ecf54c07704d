package server

import (
	"bytes"
	"context"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/api/server/httpx"
)

// lingerTime is how long work goes on whose caller has gone. Some callers close
// their half of a connection once they have asked and still wait for the answer;
// nothing tells them from those who hung up. What takes no longer is answered.
const lingerTime = 50 * time.Millisecond

// lingering is a context that ends a moment after its caller has gone.
func lingering(r *http.Request) (ctx context.Context, end func()) {
	ctx, cancel := context.WithCancel(context.WithoutCancel(r.Context()))
	stop := context.AfterFunc(r.Context(), func() { time.AfterFunc(lingerTime, cancel) })
	return ctx, func() {
		stop()
		cancel()
	}
}

// send answers with content, a part of it, or that it has not changed. The reader
// may be slow, so the caller must hold no slot and no place in the queue.
func (s *service) send(c echo.Context, a httpx.Answer) error {
	body, err := httpx.Select(c.Response(), c.Request(), a)
	if err != nil || body == nil {
		return err
	}
	ctx, end := s.cfg.Observer.Stage(context.WithoutCancel(c.Request().Context()), "write")
	err = body.WriteTo(ctx, c.Response(), s.cfg.WriteRate)
	end(err)
	if err != nil {
		return s.breakOff(c, err)
	}
	return nil
}

// breakOff closes the connection where some of an answer was sent, so that half of
// it never looks like all; what failed before can still be answered.
func (s *service) breakOff(c echo.Context, err error) error {
	if !c.Response().Committed {
		return err
	}
	if c.Request().Context().Err() == nil {
		s.cfg.Log.Error("broken off", "id", c.Get(requestID), "route", c.Path(), "error", err)
	}
	panic(http.ErrAbortHandler)
}

// write answers with a text that has no tag; HEAD has the same fields.
func (s *service) write(c echo.Context, status int, media string, text []byte) error {
	if err := httpx.CheckPreconditions(c.Request(), ""); err != nil {
		return err
	}
	if err := s.memory.Reserve(len(text)); err != nil {
		return err
	}
	defer s.memory.Release(len(text))
	h := c.Response().Header()
	h.Set("Content-Type", media)
	h.Set("Content-Length", strconv.Itoa(len(text)))
	c.Response().WriteHeader(status)
	if c.Request().Method != http.MethodHead {
		_, _ = c.Response().Write(text) // who went away needs no answer
	}
	return nil
}

// html sends a page, which is to be asked for again each time: it is small, and
// newer than what is kept of it; one that refuses is not kept at all.
func (s *service) html(c echo.Context, status int, policy string, page *bytes.Buffer, err error) error {
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("Cache-Control", "no-cache")
	if status >= http.StatusBadRequest {
		h.Set("Cache-Control", "no-store")
	}
	return s.write(c, status, "text/html; charset=UTF-8", page.Bytes())
}

// fixed is an answer that is at hand. Its bytes are part of its tag, since words
// may change where no sound does.
func fixed(body []byte, media, file, resource string, req api.Request) httpx.Answer {
	return httpx.Answer{
		Media: media, File: file, CacheControl: keepUsual,
		Tag:  httpx.EntityTag(resource, req.Canonical(), media, api.EngineVersion(), string(body)),
		Open: func() (httpx.Content, error) { return httpx.Bytes(body), nil },
	}
}

// choose settles on one of the representations of a resource.
func choose(r *http.Request, format string, offers ...httpx.Representation) (httpx.Representation, error) {
	as, ok := httpx.Choose(r, format, offers...)
	if ok {
		return as, nil
	}
	names := make([]string, len(offers))
	for i, o := range offers {
		names[i] = o.Media
	}
	return as, &api.CallError{Kind: api.NotAcceptable, Detail: "Accept takes none of the representations of this: " + strings.Join(names, " or ")}
}
