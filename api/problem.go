package api

import (
	"errors"

	"reedlark/openapi"
)

// ProblemKind is a kind of problem document: its stable address under
// /problems/, its title and its HTTP status. ref: RFC 9457, section 3.1.
type ProblemKind struct {
	Path   string
	Title  string
	Status int
}

// wrongTab is the problem of every *TabError.
var wrongTab = ProblemKind{"tab", "The tab cannot be played", 422}

// wrongScore is the problem of every *ScoreError.
var wrongScore = ProblemKind{"score", "The score cannot be used", 422}

// wrongCalls are the problems of a *CallError.
var wrongCalls = map[CallKind]ProblemKind{
	Malformed:     {"bad-request", "The request cannot be read", 400},
	NotAllowed:    {"value-not-allowed", "A value is not allowed", 422},
	NotFound:      {"not-found", "There is no such thing", 404},
	NotAcceptable: {"not-acceptable", "There is no such representation", 406},
	TooLarge:      {"too-large", "The request is too large", 413},
	UrlTooLong:    {"url-too-long", "The URL is too long", 414},
	WrongMedia:    {"unsupported-media-type", "The body has the wrong media type", 415},
}

// Problem is a problem document of this kind.
func (k ProblemKind) Problem(detail string) openapi.Problem {
	return openapi.Problem{Type: "/problems/" + k.Path, Title: k.Title, Status: k.Status, Detail: detail}
}

// ProblemFor is the problem document for a *TabError or a *CallError; ok is
// false for any other error, whose words are not the caller's business.
func ProblemFor(err error) (p openapi.Problem, ok bool) {
	var tab *TabError
	var score *ScoreError
	var call *CallError
	switch {
	case errors.As(err, &score):
		p = wrongScore.Problem(score.Error())
	case errors.As(err, &tab):
		p = wrongTab.Problem(tab.Error())
		p.Diagnostics, p.Dialect = &tab.Diagnostics, &tab.Dialect
		name(&p, tab.Parameter, tab.Allowed)
	case errors.As(err, &call):
		p = wrongCalls[call.Kind].Problem(call.Detail)
		name(&p, call.Parameter, call.Allowed)
	default:
		return p, false
	}
	return p, true
}

// name adds the parameter at fault and what it may be, if there is one.
func name(p *openapi.Problem, parameter, allowed string) {
	if parameter != "" {
		p.Parameter = &parameter
	}
	if allowed != "" {
		p.Allowed = &allowed
	}
}
