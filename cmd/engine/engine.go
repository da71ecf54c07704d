package main

import (
	"bytes"
	"context"
	"net/url"
	"strings"

	"reedlark/api"
)

// reply is an answer as HTTP would give it.
type reply struct {
	status int
	media  string
	body   []byte
}

// The media types of the answers.
const (
	mediaJSON    = "application/json"
	mediaProblem = "application/problem+json"
	mediaText    = "text/plain; charset=utf-8"
	mediaSVG     = "image/svg+xml"
	mediaWAV     = "audio/wav"
)

// mostPieces is how many opened pages are kept: the one in view, and those a
// learner goes back and forth between (slower, faster, another harp).
const mostPieces = 4

// engine answers requests. It keeps the tables of reeds and the last pages.
// It is not safe for concurrent use.
type engine struct {
	door   *api.Door
	pieces []opened // the latest first
}

type opened struct {
	key   string
	piece *api.Piece
}

func newEngine() *engine { return &engine{door: api.NewDoor()} }

// ask answers a request for a resource such as "score", "harps/A" or
// "score?tab=4+-4". A body is the JSON object of a POST; nil is a GET.
func (e *engine) ask(ctx context.Context, resource string, body []byte) reply {
	out, err := e.answer(ctx, resource, body)
	if err != nil {
		return refusal(err)
	}
	return out
}

// refusal is the problem document for an error.
func refusal(err error) reply {
	p, ok := api.ProblemFor(err)
	if !ok {
		p = api.ProblemKind{Path: "failed", Title: "Something failed on our side", Status: 500}.Problem(err.Error())
	}
	text, err := api.JSON(p)
	if err != nil {
		return reply{status: 500, media: mediaText, body: []byte(err.Error())}
	}
	return reply{p.Status, mediaProblem, text}
}

func (e *engine) answer(ctx context.Context, resource string, body []byte) (reply, error) {
	path, query, _ := strings.Cut(resource, "?")
	kind, name, _ := strings.Cut(path, "/")
	name, err := url.PathUnescape(name)
	if err != nil {
		return reply{}, &api.CallError{Kind: api.NotFound, Detail: "the path has a broken percent code"}
	}
	if path == "rhythm" {
		return e.rhythm(ctx, body)
	}
	if kind == "harps" || kind == "notes" {
		return facts(kind, name, query)
	}
	make, ok := map[string]func(context.Context, *api.Piece, string) (reply, error){
		"score": score, "picture": picture, "tab": rewritten, "audio": audio,
	}[path]
	if !ok {
		return reply{}, &api.CallError{Kind: api.NotFound, Detail: "there is nothing at this path"}
	}
	piece, format, err := e.open(ctx, query, body)
	if err != nil {
		return reply{}, err
	}
	return make(ctx, piece, format)
}

// rhythm writes the rhythm of taps into a page.
func (e *engine) rhythm(ctx context.Context, body []byte) (reply, error) {
	q, err := api.RhythmFromJSON(body)
	if err != nil {
		return reply{}, err
	}
	answer, err := e.door.Rhythm(ctx, q)
	if err != nil {
		return reply{}, err
	}
	text, err := api.JSON(answer)
	return reply{200, mediaJSON, text}, err
}

// open reads a request and opens its page, or finds it open.
func (e *engine) open(ctx context.Context, query string, body []byte) (*api.Piece, string, error) {
	req, err := read(query, body)
	if err != nil {
		return nil, "", err
	}
	format := req.Format
	req.Format = ""
	key := req.Canonical()
	for i, o := range e.pieces {
		if o.key == key {
			copy(e.pieces[1:i+1], e.pieces[:i])
			e.pieces[0] = o
			return o.piece, format, nil
		}
	}
	piece, err := e.door.Open(ctx, req)
	if err != nil {
		return nil, "", err
	}
	e.pieces = append([]opened{{key, piece}}, e.pieces[:min(len(e.pieces), mostPieces-1)]...)
	return piece, format, nil
}

func read(query string, body []byte) (api.Request, error) {
	if body == nil {
		return api.FromQuery(query)
	}
	return api.FromJSON(body)
}

// facts is what there is to say about harps and notes.
func facts(kind, name, query string) (reply, error) {
	req, err := api.FromHarpQuery(query)
	if err != nil {
		return reply{}, err
	}
	answer, err := fact(req, kind, name)
	if err != nil {
		return reply{}, err
	}
	body, err := api.JSON(answer)
	return reply{200, mediaJSON, body}, err
}

func fact(req api.Request, kind, name string) (any, error) {
	switch {
	case kind == "notes":
		return api.WhereNote(req, name)
	case name == "":
		return api.Harps(), nil
	}
	req, err := req.HarpNamed(name)
	if err != nil {
		return nil, err
	}
	return api.Chart(req)
}

// score is the score in JSON; MIDI and MusicXML are left to the server, to keep
// the engine small.
func score(ctx context.Context, p *api.Piece, format string) (reply, error) {
	if format != "" && format != "json" {
		return reply{}, leftToServer("json")
	}
	answer, err := p.Score(ctx)
	if err != nil {
		return reply{}, err
	}
	body, err := api.JSON(answer)
	return reply{200, mediaJSON, body}, err
}

// leftToServer refuses a format that only the server makes.
func leftToServer(allowed string) error {
	return &api.CallError{Kind: api.NotAcceptable, Detail: "the browser makes this as " + allowed + " only", Parameter: "format", Allowed: allowed}
}

func picture(ctx context.Context, p *api.Piece, _ string) (reply, error) {
	body, err := p.Picture(ctx)
	return reply{200, mediaSVG, body}, err
}

func rewritten(ctx context.Context, p *api.Piece, _ string) (reply, error) {
	text, err := p.Rewritten(ctx)
	return reply{200, mediaText, []byte(text)}, err
}

// audio is the whole sound. FLAC is left to the server.
func audio(ctx context.Context, p *api.Piece, format string) (reply, error) {
	if format != "" && format != "wav" {
		return reply{}, leftToServer("wav")
	}
	sound, err := p.Sound(ctx)
	if err != nil {
		return reply{}, err
	}
	var out bytes.Buffer
	out.Grow(int(sound.Size()))
	err = sound.WriteTo(ctx, &out)
	return reply{200, mediaWAV, out.Bytes()}, err
}

// sound opens the sound of a request, to be read in pieces.
func (e *engine) sound(ctx context.Context, body []byte) (*api.Sound, error) {
	piece, _, err := e.open(ctx, "", body)
	if err != nil {
		return nil, err
	}
	return piece.Sound(ctx)
}

// part is n bytes of a sound's file from an offset on.
func part(ctx context.Context, s *api.Sound, offset, n int64) ([]byte, error) {
	var out bytes.Buffer
	out.Grow(int(n))
	err := s.WriteRange(ctx, &out, offset, n)
	return out.Bytes(), err
}
