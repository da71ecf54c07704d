package api

import (
	"errors"
	"fmt"
	"strings"

	"reedlark/openapi"
	"reedlark/tab/diag"
)

// Failure is the kind of an error, by what has to change for the call to succeed.
// As a number it is the exit code of the command line.
type Failure int

// The kinds of failure.
const (
	NoFailure   Failure = iota // no error
	TabFailure                 // *TabError, *ScoreError
	CallFailure                // *CallError, and *TabError that names a parameter
	OurFailure                 // anything else
)

// FailureOf tells the kinds apart; nothing else does.
func FailureOf(err error) Failure {
	var tab *TabError
	var score *ScoreError
	var call *CallError
	switch {
	case err == nil:
		return NoFailure
	case errors.As(err, &score):
		return TabFailure
	case errors.As(err, &tab) && tab.Parameter == "":
		return TabFailure
	case errors.As(err, &tab):
		return CallFailure
	case errors.As(err, &call):
		return CallFailure
	}
	return OurFailure
}

// TabError refuses a tab that cannot be played or, for a strict request, one
// with warnings.
type TabError struct {
	Diagnostics []diag.Diagnostic // all of them, in the order of the page
	Dialect     openapi.Dialect   // as far as it was found out
	Strict      bool              // refused for its warnings
	Parameter   string            // the one without which the tab would play; empty where there is none
	Allowed     string            // what it may be
	refusing    int               // diagnostics that refuse it, listed or not
}

// Error is the first diagnostic that refuses the tab, and how many more do.
func (e *TabError) Error() string {
	fatal := e.fatal()
	if len(fatal) == 0 {
		return "the tab cannot be played"
	}
	d := fatal[0]
	text := fmt.Sprintf("line %d, column %d: %s", d.Line, d.Column, strings.TrimSuffix(d.Message, "."))
	if more := max(e.refusing, len(fatal)) - 1; more > 0 {
		text += fmt.Sprintf(" (and %d more)", more)
	}
	return text
}

// fatal lists the diagnostics that refuse the tab.
func (e *TabError) fatal() []diag.Diagnostic {
	var out []diag.Diagnostic
	for _, d := range e.Diagnostics {
		if refuses(d, e.Strict) {
			out = append(out, d)
		}
	}
	return out
}

func refuses(d diag.Diagnostic, strict bool) bool {
	return d.Severity == diag.Error || strict && d.Severity == diag.Warning
}

// CallKind is how a call is wrong.
type CallKind int

// The ways a call can be wrong. [ProblemFor] gives each its HTTP status.
const (
	Malformed     CallKind = iota // it cannot be read
	NotAllowed                    // a value outside what its parameter allows
	NotFound                      // there is no such thing
	NotAcceptable                 // there is no such representation
	TooLarge                      // over a limit of size
	UrlTooLong                    // over MaxURL
	WrongMedia                    // a body that is no JSON
)

// CallError refuses a call.
type CallError struct {
	Kind      CallKind
	Detail    string // one sentence, without a full stop
	Parameter string // the one at fault; empty where it is none
	Allowed   string // what it may be
}

func (e *CallError) Error() string { return e.Detail }

func malformed(name, format string, args ...any) *CallError {
	return &CallError{Kind: Malformed, Parameter: name, Detail: fmt.Sprintf(format, args...)}
}

// shown is text of a caller in an error: quoted, and cut where it is long.
func shown(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	return fmt.Sprintf("%q", text)
}

// ScoreError refuses a score that cannot be used.
type ScoreError struct{ Detail string }

func (e *ScoreError) Error() string { return e.Detail }
