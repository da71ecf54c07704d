package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/api/server/admit"
	"reedlark/api/web"
	"reedlark/tab/diag"
)

// view reads the request of a page and says what the page shows of the text, and of
// the piece, if it is one: a text with mistakes in it is what the page is for, and
// no error. The call, if there is one, has to end.
func (s *service) view(c echo.Context, query api.Query) (v web.View, t *tabCall, piece *api.Piece, err error) {
	v = web.View{Origin: s.origin(c.Request()), State: "{}", Signed: len(s.cfg.Keys) > 0, Fresh: !query.Has(tabNames...)}
	req, err := pageRequest(query)
	if err != nil {
		v.Values = query.Values() // above all its tab
		return v, nil, nil, err
	}
	if t, err = s.newCall(c, req, api.PageProduct); err != nil {
		return v, nil, nil, err
	}
	v.State = req.Canonical()
	v.Values = values(v.State)
	v.Link, _ = req.Link() // "" where it is too long for one
	v.Sound = s.soundOf(v.Link)
	v.Lines = plainLines(req.Tab)
	piece, err = t.piece()
	var tab *api.TabError
	if errors.As(err, &tab) {
		v.Problems, err = problems(tab.Diagnostics), nil
	}
	return v, t, piece, err
}

// fill adds what is known of a piece.
func fill(ctx context.Context, v *web.View, piece *api.Piece) error {
	score, err := piece.Score(ctx)
	if err != nil {
		return err
	}
	v.Title, v.Playable = score.Title, true
	v.Setting = fmt.Sprintf("Harp in %s, %.4g beats a minute", score.Harp.Key, score.Tempo)
	if score.Metre != nil {
		v.Setting += ", " + *score.Metre
	}
	v.Problems = problems(score.Diagnostics)
	v.Lines = lines(score)
	return nil
}

// refusal is why there is nothing to play, and the status of a page that says so.
func (s *service) refusal(c echo.Context, err error) (string, int) {
	s.retry(c, err)
	var call *api.CallError
	var refused *admit.Refusal
	switch {
	case errors.As(err, &call):
		p, _ := api.ProblemFor(call)
		return sentence(call.Error()), p.Status
	case errors.As(err, &refused):
		return sentence(err.Error()), http.StatusTooManyRequests
	}
	s.cfg.Log.Error("failed", "id", c.Get(requestID), "route", c.Path(), "error", err)
	return "Something failed on our side.", http.StatusInternalServerError
}

func sentence(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// tabNames are the parameters of which each names a tab.
var tabNames = []string{"tab", "z", "lesson"}

// pageRequest reads the query of a page. Unlike the interface it ignores what it
// does not know, since people share addresses and sites add to them, and fields
// of the form that were left empty. Without any tab it is the tune the page
// starts with.
func pageRequest(query api.Query) (api.Request, error) {
	kept := query.Keep(func(name, text string) bool {
		return name == "tab" || name == "z" || text != "" && api.Known(name)
	})
	if !kept.Has("tab", "z") {
		kept = kept.With("tab", web.StartTune)
	}
	req, err := kept.Request()
	if !query.Has("unread") {
		req.Unread = "skip" // a page plays what it can, and shows what it cannot read
	}
	return req, err
}

// values are the parameters of a canonical request as a form has them.
func values(canonical string) map[string]string {
	out := map[string]string{}
	var members map[string]any
	d := json.NewDecoder(strings.NewReader(canonical))
	d.UseNumber()
	if d.Decode(&members) != nil {
		return out
	}
	for name, value := range members {
		out[name] = fmt.Sprint(value)
	}
	return out
}

func problems(all []diag.Diagnostic) []web.Problem {
	out := make([]web.Problem, len(all))
	for i, d := range all {
		out[i] = web.Problem{
			Severity: string(d.Severity), Line: d.Line, Column: d.Column, Length: d.Length, Message: d.Message, Hint: d.Hint,
		}
		if d.Count > 0 {
			out[i].Message += fmt.Sprintf(" It is so in %d places.", d.Count)
		}
	}
	return out
}

// origin is this server as its caller knows it: as the operator says, else as
// the call does, which behind a proxy that encrypts would be wrong.
func (s *service) origin(r *http.Request) string {
	switch {
	case s.cfg.PublicURL != "":
		return s.cfg.PublicURL
	case r.TLS != nil:
		return "https://" + r.Host
	}
	return "http://" + r.Host
}
