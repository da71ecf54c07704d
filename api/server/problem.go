package server

import (
	"crypto/rand"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/openapi"
)

// sort of problem: its address, which is stable, its title and its status.
type sort struct {
	path   string
	title  string
	status int
}

var (
	badTab     = sort{"tab", "The tab cannot be sounded", http.StatusUnprocessableEntity}
	noMethod   = sort{"method-not-allowed", "Not by this method", http.StatusMethodNotAllowed}
	noRange    = sort{"range-not-satisfiable", "No such part", http.StatusRequestedRangeNotSatisfiable}
	notReady   = sort{"not-ready", "Not ready for calls", http.StatusServiceUnavailable}
	tooBusy    = sort{"busy", "All players are busy", http.StatusServiceUnavailable}
	ourFailure = sort{"failed", "Something failed on our side", http.StatusInternalServerError}
	noFormat   = sort{"format-not-offered", "There is no such format", http.StatusNotImplemented}
	notSigned  = sort{"not-signed", "This address is not signed", http.StatusForbidden}
	nothing    = sort{"not-found", "There is no such thing", http.StatusNotFound}
)

var badCalls = map[api.CallKind]sort{
	api.Malformed:     {"bad-request", "The call cannot be read", http.StatusBadRequest},
	api.NotAllowed:    {"value-not-allowed", "A value is not allowed", http.StatusUnprocessableEntity},
	api.NotFound:      nothing,
	api.NotAcceptable: {"not-acceptable", "There is no such representation", http.StatusNotAcceptable},
	api.TooLarge:      {"too-large", "The call is too large", http.StatusRequestEntityTooLarge},
	api.UrlTooLong:    {"url-too-long", "The URL is too long", http.StatusRequestURITooLong},
	api.WrongMedia:    {"unsupported-media-type", "The body is of the wrong type", http.StatusUnsupportedMediaType},
}

func (s sort) problem(detail string) openapi.Problem {
	return openapi.Problem{Type: "/problems/" + s.path, Title: s.title, Status: s.status, Detail: detail}
}

// errBusy says that there is more to do than can be done in time.
type errBusy struct {
	reason string        // line, wait, work or memory
	after  time.Duration // when there is likely to be room
}

func (e *errBusy) Error() string { return "all players are busy: try again in a moment" }

// retry says when a call that was refused for want of room may come again: when
// there is likely to be room, and for some of them later, so that they do not all
// come back at once.
func (s *service) retry(c echo.Context, err error) {
	var busy *errBusy
	var over *errQuota
	var after time.Duration
	var reason string
	switch {
	case errors.As(err, &busy):
		after, reason = busy.after, busy.reason
	case errors.As(err, &over):
		after, reason = over.after, "quota"
	default:
		return
	}
	s.cfg.Observer.Shed(reason)
	seconds := int(min(after, maxAfter)/time.Second) + 1
	var dice [1]byte
	_, _ = rand.Read(dice[:]) // it never fails
	seconds += int(dice[0]) % (seconds + 1)
	c.Response().Header().Set("Retry-After", strconv.Itoa(seconds))
}

// statusGone is what the log says of a call whose caller went away. It is never
// sent.
const statusGone = 499

// refuse answers with what is wrong. It is the one place where an error becomes
// a status.
func (s *service) refuse(err error, c echo.Context) {
	if c.Response().Committed {
		return
	}
	if gone := c.Request().Context().Err(); gone != nil && errors.Is(err, gone) {
		c.Response().Status = statusGone
		panic(http.ErrAbortHandler) // there is nobody to tell
	}
	h := c.Response().Header()
	for _, success := range []string{"ETag", "Accept-Ranges", "Content-Disposition", "Content-Length", "Content-Range", "Content-Type", "Cache-Status"} {
		h.Del(success)
	}
	p := s.problem(err, c)
	c.Set(problemCode, strings.TrimPrefix(p.Type, "/problems/"))
	h.Set("Cache-Control", "no-store")
	if id, ok := c.Get(requestID).(string); ok { // never on what is cached: it would name another's call
		h.Set(echo.HeaderXRequestID, id)
	}
	text, err := api.JSON(p)
	if err != nil {
		s.cfg.Log.Error("problem not written", "id", c.Get(requestID), "error", err)
	}
	h.Set("Content-Type", "application/problem+json")
	h.Set("Content-Length", strconv.Itoa(len(text)))
	c.Response().WriteHeader(p.Status)
	if c.Request().Method != http.MethodHead {
		_, _ = c.Response().Write(text) // who went away needs no answer
	}
}

func (s *service) problem(err error, c echo.Context) openapi.Problem {
	var tab *api.TabError
	var call *api.CallError
	var routing *echo.HTTPError
	var outside errRange
	var busy *errBusy
	var over *errQuota
	switch {
	case errors.As(err, &tab):
		return tabProblem(tab)
	case errors.As(err, &call):
		return callProblem(call)
	case errors.As(err, &outside):
		c.Response().Header().Set("Content-Range", fmt.Sprintf("bytes */%d", outside.size))
		return noRange.problem(err.Error())
	case errors.Is(err, errNotReady):
		c.Response().Header().Set("Retry-After", "1")
		return notReady.problem(err.Error())
	case errors.Is(err, errNotSigned):
		return notSigned.problem(err.Error())
	case errors.As(err, &over):
		s.retry(c, err)
		return overQuota.problem(err.Error())
	case errors.As(err, &busy):
		s.retry(c, err)
		return tooBusy.problem(err.Error())
	case errors.As(err, &routing) && routing.Code == http.StatusMethodNotAllowed:
		return noMethod.problem("this resource takes " + c.Response().Header().Get("Allow"))
	case errors.As(err, &routing) && routing.Code == http.StatusNotImplemented:
		return noFormat.problem("the formats here are json and xml")
	case errors.As(err, &routing) && routing.Code < http.StatusInternalServerError:
		return nothing.problem("there is nothing at this path")
	}
	return s.failure(err, c)
}

func tabProblem(e *api.TabError) openapi.Problem {
	p := badTab.problem(e.Error())
	p.Diagnostics = &e.Diagnostics
	return naming(p, e.Parameter, e.Allowed)
}

func callProblem(e *api.CallError) openapi.Problem {
	return naming(badCalls[e.Kind].problem(e.Detail), e.Parameter, e.Allowed)
}

// naming names the parameter, if it is one that is at fault.
func naming(p openapi.Problem, parameter, allowed string) openapi.Problem {
	if parameter != "" {
		p.Parameter = &parameter
	}
	if allowed != "" {
		p.Allowed = &allowed
	}
	return p
}

// failure logs what is our own fault whole, and tells the caller where to find
// it.
func (s *service) failure(err error, c echo.Context) openapi.Problem {
	id, _ := c.Get(requestID).(string)
	s.cfg.Log.Error("failed", "id", id, "route", c.Path(), "error", err)
	p := ourFailure.problem("the request id is " + id)
	p.RequestId = &id
	return p
}
