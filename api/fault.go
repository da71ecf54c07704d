package api

import (
	"errors"
	"fmt"
	"strings"

	"reedlark/openapi"
	"reedlark/tab/diag"
)

// Blame says whose fault an error is. As a number it is the exit code of the
// command line.
type Blame int

// Whose fault it is.
const (
	Nobody  Blame = iota // no error
	TheTab               // *TabError, *ScoreError
	TheCall              // *CallError, and *TabError that names a parameter
	Ours                 // anything else
)

// BlameFor is the one place where failures are told apart.
func BlameFor(err error) Blame {
	var tab *TabError
	var score *ScoreError
	var call *CallError
	switch {
	case err == nil:
		return Nobody
	case errors.As(err, &score):
		return TheTab
	case errors.As(err, &tab) && tab.Parameter == "":
		return TheTab
	case errors.As(err, &tab):
		return TheCall
	case errors.As(err, &call):
		return TheCall
	}
	return Ours
}

// TabError refuses a tab that cannot be sounded, or, when asked to be strict,
// one that has warnings.
type TabError struct {
	Diagnostics []diag.Diagnostic // all of them, in the order of the page
	Dialect     openapi.Dialect   // as far as it was found out
	Strict      bool              // refused for its warnings
	Parameter   string            // the one without which the tab would play; empty where there is none
	Allowed     string            // what it may be
	refusing    int               // problems that refuse it, listed or not
}

// Error names the first problem that refuses the tab, and how many more do.
func (e *TabError) Error() string {
	fatal := e.fatal()
	if len(fatal) == 0 {
		return "the tab cannot be sounded"
	}
	d := fatal[0]
	text := fmt.Sprintf("line %d, column %d: %s", d.Line, d.Column, strings.TrimSuffix(d.Message, "."))
	switch more := max(e.refusing, len(fatal)) - 1; more {
	case 0:
		return text
	case 1:
		return text + " (and 1 more problem)"
	default:
		return fmt.Sprintf("%s (and %d more problems)", text, more)
	}
}

// fatal is the diagnostics that refuse the tab.
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

// CallKind says in what way a call is wrong.
type CallKind int

// The ways. What each becomes in HTTP is the server's business.
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

// shown is a caller's text as an error repeats it: quoted and not too long.
func shown(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	return fmt.Sprintf("%q", text)
}
