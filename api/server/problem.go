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
	"reedlark/api/server/admit"
	"reedlark/api/server/httpx"
	"reedlark/openapi"
)

var (
	noMethod   = api.ProblemKind{Path: "method-not-allowed", Title: "Not by this method", Status: http.StatusMethodNotAllowed}
	noRange    = api.ProblemKind{Path: "range-not-satisfiable", Title: "No such part", Status: http.StatusRequestedRangeNotSatisfiable}
	notReady   = api.ProblemKind{Path: "not-ready", Title: "Not ready for requests", Status: http.StatusServiceUnavailable}
	tooBusy    = api.ProblemKind{Path: "busy", Title: "The server is busy", Status: http.StatusServiceUnavailable}
	ourFailure = api.ProblemKind{Path: "failed", Title: "Something failed on our side", Status: http.StatusInternalServerError}
	noFormat   = api.ProblemKind{Path: "format-not-offered", Title: "There is no such format", Status: http.StatusNotImplemented}
	notSigned  = api.ProblemKind{Path: "not-signed", Title: "This address is not signed", Status: http.StatusForbidden}
	overQuota  = api.ProblemKind{Path: "quota", Title: "Over the quota", Status: http.StatusTooManyRequests}
	notMatched = api.ProblemKind{Path: "precondition-failed", Title: "It is not the version you expect", Status: http.StatusPreconditionFailed}
	nothing    = api.ProblemKind{Path: "not-found", Title: "There is no such thing", Status: http.StatusNotFound}
)

// maxAfter is the longest Retry-After.
const maxAfter = time.Hour

// retry sets Retry-After for a refused call: when there is likely to be room, and a
// random time later, so that callers do not all come back at once.
func (s *service) retry(c echo.Context, err error) {
	var refused *admit.Refusal
	if !errors.As(err, &refused) {
		return
	}
	s.cfg.Observer.Shed(string(refused.Reason))
	seconds := int(min(refused.After, maxAfter)/time.Second) + 1
	var dice [1]byte
	_, _ = rand.Read(dice[:]) // it never fails
	seconds += int(dice[0]) % (seconds + 1)
	c.Response().Header().Set("Retry-After", strconv.Itoa(seconds))
}

// statusGone is logged for a call whose caller has gone. It is never sent.
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
	if p, ok := api.ProblemFor(err); ok {
		return p
	}
	var routing *echo.HTTPError
	var outside httpx.RangeError
	var refused *admit.Refusal
	switch {
	case errors.As(err, &outside):
		c.Response().Header().Set("Content-Range", fmt.Sprintf("bytes */%d", outside.Size))
		return noRange.Problem(err.Error())
	case errors.Is(err, errNotReady):
		c.Response().Header().Set("Retry-After", "1")
		return notReady.Problem(err.Error())
	case errors.Is(err, errNotSigned):
		return notSigned.Problem(err.Error())
	case errors.Is(err, httpx.ErrPrecondition):
		return notMatched.Problem(err.Error())
	case errors.As(err, &refused):
		s.retry(c, err)
		if refused.Reason == admit.OverQuota {
			return overQuota.Problem(err.Error())
		}
		return tooBusy.Problem(err.Error())
	case errors.As(err, &routing) && routing.Code == http.StatusMethodNotAllowed:
		return noMethod.Problem("this resource takes " + c.Response().Header().Get("Allow"))
	case errors.As(err, &routing) && routing.Code == http.StatusNotImplemented:
		return noFormat.Problem("the formats here are json and xml")
	case errors.As(err, &routing) && routing.Code < http.StatusInternalServerError:
		return nothing.Problem("there is nothing at this path")
	}
	return s.failure(err, c)
}

// failure logs an error of our own in full, and gives the caller the id to report.
func (s *service) failure(err error, c echo.Context) openapi.Problem {
	id, _ := c.Get(requestID).(string)
	s.cfg.Log.Error("failed", "id", id, "route", c.Path(), "error", err)
	p := ourFailure.Problem("the request id is " + id)
	p.RequestId = &id
	return p
}
