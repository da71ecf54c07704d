package server

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
)

// contract is the OpenAPI document as an independent library reads it.
var contract = sync.OnceValues(func() (routers.Router, error) {
	for _, media := range []string{"audio/wav", "audio/flac", "audio/midi", "application/vnd.recordare.musicxml+xml", "application/vnd.recordare.musicxml", "text/vnd.abc", "multipart/byteranges"} {
		openapi3filter.RegisterBodyDecoder(media, openapi3filter.FileBodyDecoder)
	}
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document)
	if err != nil {
		return nil, err
	}
	if err := doc.Validate(context.Background()); err != nil {
		return nil, err
	}
	return gorillamux.NewRouter(doc)
})

// What the contract shows as an example is what is answered.
func TestExamplesAreAnswers(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document)
	require.NoError(t, err)
	response := func(name, media string) *openapi3.MediaType {
		return doc.Components.Responses[name].Value.Content[media]
	}
	const problem = "application/problem+json"
	for target, example := range map[string]any{
		"/v1/score?tempo=120&tab=Title:+A+note+and+two+rests%0A%0A4+r+r": response("Score", "application/json").Example,
		"/v1/audio?tab=4&tempo=90&tempo=100":                             response("BadRequest", problem).Example,
		"/v1/audio?tab=4&tempo=401":                                      response("Refused", problem).Examples["value"].Value.Value,
		"/v1/audio?tab=4+11":                                             response("Refused", problem).Examples["tab"].Value.Value,
	} {
		want, err := json.Marshal(example)
		require.NoError(t, err)
		require.JSONEq(t, string(want), read(t, ask(t, call{target: target})), target)
	}
	require.Equal(t, response("Tab", "text/plain").Example, read(t, ask(t, call{target: "/v1/tab?to_convention=letters&tab=4+-4+5%0A"})))
	for name, body := range doc.Components.RequestBodies["Tab"].Value.Content["application/json"].Examples {
		text, err := json.Marshal(body.Value.Value)
		require.NoError(t, err)
		require.Equal(t, http.StatusOK, ask(t, call{target: "/v1/audio", body: string(text)}).StatusCode, name)
	}
	link, is := doc.Components.Parameters["z"].Value.Example.(string)
	require.True(t, is)
	require.Equal(t, http.StatusOK, ask(t, call{target: "/v1/audio?z=" + link}).StatusCode)
}

// call is one request of a test.
type call struct {
	method string // "" for GET, or POST where there is a body
	target string
	header map[string]string
	body   string
}

func (c call) request() *http.Request {
	method := c.method
	if method == "" {
		method = http.MethodGet
		if c.body != "" {
			method = http.MethodPost
		}
	}
	r := httptest.NewRequest(method, c.target, strings.NewReader(c.body))
	if c.body == "" {
		r.Body = http.NoBody
	} else {
		r.Header.Set("Content-Type", "application/json")
	}
	for name, value := range c.header {
		r.Header.Set(name, value)
	}
	return r
}

var quiet = Config{Log: slog.New(slog.DiscardHandler)}

// shared is one server for all calls of a test run that need no other.
var shared = sync.OnceValue(func() http.Handler { return Handler(quiet) })

// record sends a call through a handler.
func record(h http.Handler, c call) *http.Response {
	rec := httptest.NewRecorder()
	h.ServeHTTP(rec, c.request())
	return rec.Result()
}

// ask sends a call through the handler and holds the answer against the
// contract.
func ask(t *testing.T, c call) *http.Response {
	t.Helper()
	res := record(shared(), c)
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	res.Body = io.NopCloser(bytes.NewReader(body))
	holds(t, c, res, body)
	return res
}

// holds checks an answer against the contract; what the contract has no path
// for, it cannot judge.
func holds(t *testing.T, c call, res *http.Response, body []byte) {
	t.Helper()
	input, err := input(t, c)
	if err != nil {
		return
	}
	checked := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: input, Status: res.StatusCode, Header: res.Header,
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true},
	}
	checked.SetBodyBytes(body)
	if c.method == http.MethodHead {
		checked.Options.ExcludeResponseBody = true
	}
	require.NoError(t, openapi3filter.ValidateResponse(context.Background(), checked), "%s %s", c.method, c.target)
}

// input is a call as the contract's own reader has it, or why it has no route.
func input(t *testing.T, c call) (*openapi3filter.RequestValidationInput, error) {
	t.Helper()
	router, err := contract()
	require.NoError(t, err)
	r := c.request()
	route, params, err := router.FindRoute(r)
	return &openapi3filter.RequestValidationInput{Request: r, PathParams: params, Route: route}, err
}

// allows says whether the contract takes a call.
func allows(t *testing.T, c call) error {
	t.Helper()
	in, err := input(t, c)
	require.NoError(t, err)
	return openapi3filter.ValidateRequest(context.Background(), in)
}

func read(t *testing.T, res *http.Response) string {
	t.Helper()
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return string(body)
}

func newRecorder() *httptest.ResponseRecorder { return httptest.NewRecorder() }

func logTo(w io.Writer) *slog.Logger { return slog.New(slog.NewTextHandler(w, nil)) }
