package server

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
)

// scale is a tune of our own invention.
const scale = "X:1\nT:Up the Steps\nM:4/4\nL:1/4\nQ:1/4=90\nK:C\ncdef|gab c'|\n\nX:2\nT:Down\nK:G\nG_E2|\n"

func TestFindByQueryAndByBody(t *testing.T) {
	get := ask(t, call{target: "/v1/find?melody=C5:2+D5+%7C+E5:1/2+r&have=C,G&octave=0"})
	require.Equal(t, http.StatusOK, get.StatusCode)
	body := read(t, get)
	post := ask(t, call{target: "/v1/find", body: `{"melody":"C5:2 D5 | E5:1/2 r","have":"C,G","octave":0}`})
	require.Equal(t, body, read(t, post))
	var found openapi.Finding
	require.NoError(t, json.Unmarshal([]byte(body), &found))
	require.NotEmpty(t, found.Ways)
	assert.Equal(t, "4- -4 | {5 r} {r r} |", found.Ways[0].Tab)
	again := ask(t, call{target: "/v1/find?melody=C5:2+D5+%7C+E5:1/2+r&have=C,G&octave=0", header: map[string]string{"If-None-Match": get.Header.Get("ETag")}})
	assert.Equal(t, http.StatusNotModified, again.StatusCode)
}

func TestFindRefuses(t *testing.T) {
	for target, status := range map[string]int{
		"/v1/find":                           400,
		"/v1/find?melody=C4&tab=4":           400,
		"/v1/find?melody=C4&melody=C4":       400,
		"/v1/find?melody=C4&limit=x":         400,
		"/v1/find?melody=X":                  422,
		"/v1/find?melody=C4&limit=37":        422,
		"/v1/find?melody=C4&have=Q":          422,
		"/v1/find?melody=C4&octave=9":        422,
		"/v1/find?melody=C4&allow_bends=few": 422,
	} {
		assert.Equal(t, status, ask(t, call{target: target}).StatusCode, target)
	}
	assert.Equal(t, 400, ask(t, call{target: "/v1/find?melody=C", body: `{"melody":"C"}`}).StatusCode)
	assert.Equal(t, 400, ask(t, call{target: "/v1/find", body: `{"melody":1}`}).StatusCode)
}

func abcCall(target, body string) call {
	return call{target: target, body: body, header: map[string]string{"Content-Type": api.MediaABC}}
}

func TestArrangement(t *testing.T) {
	var a openapi.Arrangement
	res := ask(t, abcCall("/v1/arrangement?harp=C", scale))
	require.Equal(t, http.StatusOK, res.StatusCode)
	require.NoError(t, json.Unmarshal([]byte(read(t, res)), &a))
	assert.Equal(t, "Title: Up the Steps\nHarp: C\nTempo: 90\nMetre: 4/4\n\n4 -4 5 -5 | 6 -6 -7 7 |\n", a.Tab)
	assert.Equal(t, []openapi.BookTune{{Number: 1, Title: "Up the Steps"}, {Number: 2, Title: "Down"}}, a.Tunes)
	assert.Len(t, a.Ways, 1)
	assert.Empty(t, a.Lost)

	text := abcCall("/v1/arrangement?harp=C", scale)
	text.header["Accept"] = "text/plain"
	assert.Equal(t, a.Tab, read(t, ask(t, text)))

	res = ask(t, abcCall("/v1/arrangement?harp=G&tune=2&allow_bends=none&allow_overs=false&octave=0", scale))
	require.NoError(t, json.Unmarshal([]byte(read(t, res)), &a))
	assert.Equal(t, []openapi.Lost{{Bar: "1", What: "Eb4"}}, a.Lost)
	require.Len(t, a.Diagnostics, 1)
	lines := strings.Split(a.Tab, "\n")
	d := a.Diagnostics[0]
	assert.Equal(t, "r", lines[d.Line-1][d.Column-1:d.Column-1+d.Length])
}

func TestArrangementRefuses(t *testing.T) {
	xml := map[string]string{"Content-Type": api.MediaMusicXML}
	for name, c := range map[string]struct {
		call   call
		status int
	}{
		"another kind":    {call{target: "/v1/arrangement", body: "{}"}, 415},
		"no tune":         {abcCall("/v1/arrangement", "words"), 422},
		"only rests":      {abcCall("/v1/arrangement", "X:1\nK:C\nz4|\n"), 422},
		"no such tune":    {abcCall("/v1/arrangement?tune=7", scale), 422},
		"no such part":    {abcCall("/v1/arrangement?part=Tuba", scale), 422},
		"position":        {abcCall("/v1/arrangement?harp=C&in_position=2", scale), 422},
		"unknown":         {abcCall("/v1/arrangement?tempo=90", scale), 400},
		"too large":       {abcCall("/v1/arrangement", scale+strings.Repeat("%\n", api.MaxScore)), 413},
		"broken XML":      {call{target: "/v1/arrangement", body: "<score-partwise><part", header: xml}, 422},
		"own entities":    {call{target: "/v1/arrangement", body: `<!DOCTYPE a [<!ENTITY b "c">]><score-partwise/>`, header: xml}, 422},
		"not acceptable":  {call{target: "/v1/arrangement", body: scale, header: map[string]string{"Content-Type": api.MediaABC, "Accept": "image/png"}}, 406},
		"compressed body": {call{target: "/v1/arrangement", body: scale, header: map[string]string{"Content-Type": api.MediaABC, "Content-Encoding": "gzip"}}, 415},
	} {
		res := ask(t, c.call)
		assert.Equal(t, c.status, res.StatusCode, "%s: %s", name, read(t, res))
	}
}
