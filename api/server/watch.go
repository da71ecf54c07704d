package server

import (
	"cmp"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strings"
	"time"

	"github.com/labstack/echo/v4"
)

// The keys of what a call's echo.Context carries.
const (
	requestID   = "request_id"
	problemCode = "problem_code"
)

// watch gives the request an id, logs it without anything its caller wrote, and turns
// a panic into an answer.
func (s *service) watch(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		began, id := time.Now(), idOf(c.Request())
		c.Set(requestID, id)
		ctx := s.cfg.Observer.Began(c.Request().Context(), resource(c), c.Request().Header.Get("Traceparent"))
		c.SetRequest(c.Request().WithContext(ctx))
		defer func() { s.tell(c, time.Since(began)) }() // of broken-off answers, too
		if err := s.guarded(next, c); err != nil {
			c.Error(err)
		}
		return nil
	}
}

// tell logs and counts a call that is over.
func (s *service) tell(c echo.Context, took time.Duration) {
	res := c.Response()
	s.cfg.Observer.Answered(c.Request().Context(), Answer{
		Resource: resource(c), Method: method(c), Status: res.Status, Bytes: res.Size, Took: took,
	})
	fields := []any{
		"id", c.Get(requestID), "method", method(c), "route", resource(c),
		"status", res.Status, "bytes", res.Size, "ms", float64(took.Microseconds()) / 1000,
	}
	if code, refused := c.Get(problemCode).(string); refused {
		fields = append(fields, "code", code)
	}
	s.cfg.Log.Log(c.Request().Context(), level(c), "request", fields...)
}

// level is debug for health checks, of which there are several a minute.
func level(c echo.Context) slog.Level {
	if c.Response().Status == http.StatusOK && (c.Path() == "/healthz" || c.Path() == "/readyz") {
		return slog.LevelDebug
	}
	return slog.LevelInfo
}

// The letters and length of a request id, so that it is safe in any header and log.
const (
	idLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789._-"
	idLength  = 64
)

func goodID(id string) bool {
	return id != "" && len(id) <= idLength && id[0] != '-' && strings.Trim(id, idLetters) == ""
}

// idOf is the request id that a proxy set, if it is well formed, else a new one.
func idOf(r *http.Request) string {
	if given := r.Header.Get(echo.HeaderXRequestID); goodID(given) {
		return given
	}
	return rand.Text()
}

// resource is the route of a call, one of a fixed set.
func resource(c echo.Context) string {
	return cmp.Or(c.Path(), "none")
}

// method is the request's, if it is a known one.
func method(c echo.Context) string {
	const ours = "GET HEAD POST OPTIONS PUT PATCH DELETE"
	m := c.Request().Method
	if !strings.Contains(" "+ours+" ", " "+m+" ") {
		return "other"
	}
	return m
}

// guarded runs a handler; a panic is logged in full and becomes an error.
func (s *service) guarded(next echo.HandlerFunc, c echo.Context) (err error) {
	defer func() {
		switch r := recover(); r {
		case nil:
		case http.ErrAbortHandler:
			panic(r)
		default:
			s.cfg.Log.Error("panic", slog.Any("id", c.Get(requestID)), "route", resource(c), "panic", r, "stack", string(debug.Stack()))
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	return next(c)
}
