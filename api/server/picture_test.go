package server

import (
	"encoding/json"
	"encoding/xml"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
)

// The picture has the manners of the other resources of a tab.
func TestPicture(t *testing.T) {
	res := ask(t, call{target: "/v1/picture?tab=4+-4+5&tempo=90"})
	require.Equal(t, 200, res.StatusCode)
	assert.Equal(t, "image/svg+xml", res.Header.Get("Content-Type"))
	svg := read(t, res)
	require.NoError(t, xml.Unmarshal([]byte(svg), new(struct{})))
	tag := res.Header.Get("ETag")
	assert.Equal(t, 304, ask(t, call{target: "/v1/picture?tab=4+-4+5&tempo=90", header: map[string]string{"If-None-Match": tag}}).StatusCode)
	assert.Equal(t, svg, read(t, ask(t, call{target: "/v1/picture", body: `{"tab":"4 -4 5","tempo":90}`})), "posted")
	head := ask(t, call{method: "HEAD", target: "/v1/picture?tab=4+-4+5&tempo=90"})
	assert.Equal(t, tag, head.Header.Get("ETag"))
	assert.Equal(t, 204, record(shared(), call{method: "OPTIONS", target: "/v1/picture"}).StatusCode)
	assert.Equal(t, 200, ask(t, call{target: "/v1/picture?tab=4", header: accept("text/html, image/*")}).StatusCode)
	assert.Equal(t, 422, ask(t, call{target: "/v1/picture?tab=44"}).StatusCode)
}

// A written C5 is 4 blow on a C harp and 2 draw on one in F (common practice,
// no source).
func TestWhereANoteLies(t *testing.T) {
	res := ask(t, call{target: "/v1/notes/C5"})
	require.Equal(t, 200, res.StatusCode)
	var n openapi.WhereNote
	require.NoError(t, json.Unmarshal([]byte(read(t, res)), &n))
	assert.Equal(t, 72, n.Midi)
	require.Len(t, n.Harps, 12)
	tabs := map[string][]string{}
	for _, h := range n.Harps {
		for _, p := range h.Places {
			tabs[h.Key] = append(tabs[h.Key], p.Tab)
		}
	}
	assert.Contains(t, tabs["C"], "4")
	assert.Contains(t, tabs["F"], "-2")
	assert.Contains(t, tabs["Db"], "-3")
	for path, name := range map[string]string{"F%235": "F#5", "Fs5": "F#5", "gb5": "Gb5", "B%E2%99%AD3": "Bb3"} {
		res := ask(t, call{target: "/v1/notes/" + path})
		require.Equal(t, 200, res.StatusCode, path)
		var n openapi.WhereNote
		require.NoError(t, json.Unmarshal([]byte(read(t, res)), &n))
		assert.Equal(t, name, n.Note, path)
	}
	assert.Contains(t, read(t, ask(t, call{target: "/v1/notes/C-1"})), `"places":[]`)
	assert.Equal(t, 422, ask(t, call{target: "/v1/notes/C5?a4=1"}).StatusCode)
}
