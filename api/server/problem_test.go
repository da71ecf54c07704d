package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
)

// problem checks that an answer is a problem in the form of RFC 9457, which
// any page may read and nobody keeps.
func problem(t *testing.T, res *http.Response) openapi.Problem {
	t.Helper()
	require.Equal(t, "application/problem+json", res.Header.Get("Content-Type"))
	require.Equal(t, "no-store", res.Header.Get("Cache-Control"))
	for _, success := range []string{"ETag", "Accept-Ranges", "Content-Disposition"} {
		require.Empty(t, res.Header.Get(success))
	}
	anyOrigin(t, res)
	body := read(t, res)
	require.Equal(t, int64(len(body)), length(t, res))
	var p openapi.Problem
	require.NoError(t, json.Unmarshal([]byte(body), &p))
	require.Equal(t, res.StatusCode, p.Status)
	require.NotEmpty(t, p.Title)
	require.NotEmpty(t, p.Detail)
	address, err := url.Parse(p.Type)
	require.NoError(t, err)
	require.False(t, address.IsAbs())
	require.NotEmpty(t, address.Path)
	return p
}

// A part that is empty is the fault of a parameter, which is named beside the
// diagnostics.
func TestEmptyPartNamesItsParameter(t *testing.T) {
	res := ask(t, call{target: "/v1/score?tab=4+5&from=2&to=1"})
	require.Equal(t, 422, res.StatusCode)
	p := problem(t, res)
	require.NotNil(t, p.Diagnostics)
	require.NotNil(t, p.Parameter)
	require.Equal(t, "to", *p.Parameter)
	require.NotNil(t, p.Allowed)
}

// refusal is a call and the status it must get. loose says that the contract's
// own language has no words for what is wrong with it.
type refusal struct {
	name   string
	call   call
	status int
	loose  bool
}

var long = strings.Repeat("4+", 4000)

var refusals = []refusal{
	{"no tab", call{target: "/v1/audio"}, 400, true},
	{"unknown parameter", call{target: "/v1/score?tab=4&temp=90"}, 400, true},
	{"repeated parameter", call{target: "/v1/tab?tab=4&tab=5"}, 400, true},
	{"semicolon", call{target: "/v1/audio?tab=4;tempo=90"}, 400, true},
	{"broken percent code", call{target: "/v1/audio?tab=4&harp=%4"}, 400, true},
	{"no number", call{target: "/v1/audio?tab=4&tempo=fast"}, 400, false},
	{"NaN", call{target: "/v1/audio?tab=4&a4=NaN"}, 400, true},
	{"out of range", call{target: "/v1/audio?tab=4&tempo=401"}, 422, false},
	{"no such word", call{target: "/v1/tab?tab=4&to_convention=numbers"}, 422, false},
	{"what has no effect is checked", call{target: "/v1/tab?tab=4&rate=8000"}, 422, false},
	{"picture as a photograph", call{target: "/v1/picture?tab=4", header: accept("image/png")}, 406, true},
	{"no such note", call{target: "/v1/notes/H4"}, 404, true},
	{"no note without an octave", call{target: "/v1/notes/C"}, 404, true},
	{"notes take no tab", call{target: "/v1/notes/C4?tab=4"}, 400, true},
	{"empty tab", call{target: "/v1/audio?tab="}, 422, true},
	{"bad tab", call{target: "/v1/tab?tab=4+11+5"}, 422, true},
	{"link that is none", call{target: "/v1/audio?z=!!"}, 400, false},
	{"link and something", call{target: "/v1/audio?z=q1YqSUxSslIyUTBVqgUA&tempo=90"}, 400, true},
	{"link too long", call{target: "/v1/audio?z=" + strings.Repeat("A", 6001)}, 413, false},
	{"no such harp", call{target: "/v1/harps/H"}, 404, true},
	{"no such harp, with a percent sign", call{target: "/v1/harps/100%25"}, 404, true},
	{"no such harp, escaped twice", call{target: "/v1/harps/C%2523"}, 404, true},
	{"no such harp, with a slash", call{target: "/v1/harps/C%2FD"}, 404, true},
	{"harps take no tab", call{target: "/v1/harps/C?tab=4"}, 400, true},
	{"nor does the list", call{target: "/v1/harps?harp=C"}, 400, true},
	{"the list checks", call{target: "/v1/harps?a4=500"}, 422, false},
	{"nothing there", call{target: "/v1/nothing"}, 404, true},
	{"nothing there either", call{target: "/v1/"}, 404, true},
	{"a harp with something after it", call{target: "/v1/harps/C/4"}, 404, true},
	{"URL too long", call{target: "/v1/score?tab=" + long}, 414, true},
	{"URL too long, posted", call{target: "/v1/score?tab=" + long, body: `{"tab":"4"}`}, 414, true},
	{"POST with a query", call{target: "/v1/score?tempo=90", body: `{"tab":"4"}`}, 400, true},
	{"body of nothing", call{target: "/v1/score", method: "POST", header: json_}, 400, false},
	{"body of text", call{target: "/v1/score", body: "4 -4 5", header: map[string]string{"Content-Type": "text/plain"}}, 415, false},
	{"body of a form", call{target: "/v1/score", body: "tab=4", header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}}, 415, false},
	{"body of no type", call{target: "/v1/score", body: `{"tab":"4"}`, header: map[string]string{"Content-Type": ""}}, 415, false},
	{"body in another charset", call{target: "/v1/score", body: `{"tab":"4"}`, header: map[string]string{"Content-Type": "application/json; charset=latin1"}}, 415, true},
	{"body compressed", call{target: "/v1/score", body: `{"tab":"4"}`, header: map[string]string{"Content-Encoding": "gzip"}}, 415, true},
	{"body too large", call{target: "/v1/score", body: `{"tab":"` + strings.Repeat(" ", api.MaxBody) + `"}`}, 413, false},
	{"tab too large", call{target: "/v1/score", body: `{"tab":"` + strings.Repeat("4 ", api.MaxTab/2) + `5"}`}, 413, false},
	{"broken JSON", call{target: "/v1/score", body: `{"tab":"4"`}, 400, false},
	{"wrong type", call{target: "/v1/score", body: `{"tab":"4","tempo":"90"}`}, 400, false},
	{"key in capitals", call{target: "/v1/score", body: `{"tab":"4","Tempo":90}`}, 400, false},
	{"key twice", call{target: "/v1/score", body: `{"tab":"4","tempo":90,"tempo":91}`}, 400, true},
	{"layout of nine", call{target: "/v1/score", body: `{"tab":"4","layout":{"blow":["C4"],"draw":["D4"]}}`}, 422, false},
	{"picture of a sound", call{target: "/v1/audio?tab=4", header: accept("image/png, video/*")}, 406, true},
	{"score as XML", call{target: "/v1/score?tab=4", header: accept("application/xml")}, 406, true},
	{"chart as a page", call{target: "/v1/harps/C", header: accept("text/html")}, 406, true},
}

var json_ = map[string]string{"Content-Type": "application/json"}

func accept(field string) map[string]string { return map[string]string{"Accept": field} }

func TestRefusals(t *testing.T) {
	for _, r := range refusals {
		t.Run(r.name, func(t *testing.T) {
			res := ask(t, r.call)
			require.Equal(t, r.status, res.StatusCode)
			problem(t, res)
			if !r.loose {
				require.Error(t, allows(t, r.call), "the contract allows what the door refuses")
			}
		})
	}
}

// A body that does not say how long it is is read no further than the limit.
func TestBodyOfUnknownLength(t *testing.T) {
	for n, want := range map[int]int{api.MaxBody: http.StatusBadRequest, api.MaxBody + 1: http.StatusRequestEntityTooLarge, 8 * api.MaxBody: http.StatusRequestEntityTooLarge} {
		r := call{target: "/v1/score", body: strings.Repeat("[", n)}.request()
		r.ContentLength = -1
		rec := httptest.NewRecorder()
		shared().ServeHTTP(rec, r)
		require.Equal(t, want, rec.Code, n)
	}
}

func TestRefusedValueNamesItself(t *testing.T) {
	for _, q := range []string{"tempo=401", "harp=H", "layout=foo", "metre=4/0", "mix=mono", "format=tiff", "click=maybe", "from=-1", "rate=1"} {
		name, value, _ := strings.Cut(q, "=")
		p := problem(t, ask(t, call{target: "/v1/audio?tab=4&" + q}))
		require.Equal(t, http.StatusUnprocessableEntity, p.Status, q)
		require.Equal(t, name, *p.Parameter)
		require.NotEmpty(t, *p.Allowed)
		require.Contains(t, p.Detail, value)
		require.Nil(t, p.Diagnostics)
	}
}

func TestBadTabHasEveryDiagnostic(t *testing.T) {
	for _, path := range []string{"/v1/audio", "/v1/score", "/v1/tab"} {
		p := problem(t, ask(t, call{target: path, body: `{"tab":"4 11 5\n-4 5 44\n"}`}))
		require.Equal(t, http.StatusUnprocessableEntity, p.Status)
		var places []string
		for _, d := range *p.Diagnostics {
			places = append(places, fmt.Sprintf("%s %d:%d+%d", d.Severity, d.Line, d.Column, d.Length))
			require.NotEmpty(t, d.Message)
		}
		require.Equal(t, []string{"error 1:3+2", "error 2:6+2"}, places)
	}
}

func TestStrictRefusesWarnings(t *testing.T) {
	for _, path := range []string{"/v1/audio", "/v1/score", "/v1/tab"} {
		const doubtful = "?tab=4+-7/+5" // draw 7 does not bend
		require.Equal(t, http.StatusOK, ask(t, call{target: path + doubtful}).StatusCode)
		p := problem(t, ask(t, call{target: path + doubtful + "&strict=true"}))
		require.Equal(t, http.StatusUnprocessableEntity, p.Status)
		require.Len(t, *p.Diagnostics, 1)
	}
}

// ref: RFC 9110, section 15.5.6: Allow lists the methods there are.
func TestOtherMethods(t *testing.T) {
	for target, allow := range map[string]string{
		"/v1/audio": "GET HEAD OPTIONS POST", "/v1/score": "GET HEAD OPTIONS POST", "/v1/tab": "GET HEAD OPTIONS POST",
		"/v1/harps": "GET HEAD OPTIONS", "/v1/harps/C": "GET HEAD OPTIONS", "/healthz": "GET HEAD OPTIONS", "/openapi.yaml": "GET HEAD OPTIONS",
	} {
		methods := []string{"DELETE", "PUT", "PATCH", "TRACE", "BREW"}
		if !strings.Contains(allow, "POST") {
			methods = append(methods, "POST")
		}
		for _, m := range methods {
			res := ask(t, call{method: m, target: target})
			require.Equal(t, http.StatusMethodNotAllowed, res.StatusCode, "%s %s", m, target)
			problem(t, res)
			require.ElementsMatch(t, strings.Fields(allow), strings.Split(res.Header.Get("Allow"), ", "))
		}
	}
}
