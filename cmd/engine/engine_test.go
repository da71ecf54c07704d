package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// post is the JSON object that asks for a page.
func post(t *testing.T, page string, more map[string]any) []byte {
	t.Helper()
	object := map[string]any{"tab": page}
	for name, value := range more {
		object[name] = value
	}
	body, err := json.Marshal(object)
	require.NoError(t, err)
	return body
}

// TestSameBytes: a sound read in uneven pieces is the sound of the door.
func TestSameBytes(t *testing.T) {
	ctx := context.Background()
	body := post(t, "Tempo: 200\n4 -4 -3/ {5 -5} r 6* 45", map[string]any{"rate": 22050})
	req, err := api.FromJSON(body)
	require.NoError(t, err)
	piece, err := api.Open(context.Background(), req)
	require.NoError(t, err)
	sound, err := piece.Sound(ctx)
	require.NoError(t, err)
	var want bytes.Buffer
	require.NoError(t, sound.WriteTo(ctx, &want))

	e := newEngine()
	got, err := e.sound(ctx, body)
	require.NoError(t, err)
	var read []byte
	for n := int64(1); int64(len(read)) < got.Size(); n = n*3 + 1 {
		piece, err := part(ctx, got, int64(len(read)), min(n, got.Size()-int64(len(read))))
		require.NoError(t, err)
		read = append(read, piece...)
	}
	assert.Equal(t, want.Bytes(), read)
	assert.Equal(t, want.Bytes(), e.ask(ctx, "audio", body).body)
}

// TestEveryPage: every page of testdata is scored or refused as by the door.
func TestEveryPage(t *testing.T) {
	pages, err := filepath.Glob("../../testdata/tabs/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, pages)
	e := newEngine()
	for _, name := range pages {
		page, err := os.ReadFile(name)
		require.NoError(t, err)
		body := post(t, string(page), nil)
		req, err := api.FromJSON(body)
		require.NoError(t, err)
		got := e.ask(context.Background(), "score", body)
		piece, err := api.Open(context.Background(), req)
		if err != nil {
			assert.Equal(t, 422, got.status, name)
			assert.Equal(t, refusal(err), got, name)
			continue
		}
		score, err := piece.Score(context.Background())
		require.NoError(t, err)
		want, err := api.JSON(score)
		require.NoError(t, err)
		assert.Equal(t, reply{200, mediaJSON, want}, got, name)
	}
}

func TestResources(t *testing.T) {
	e := newEngine()
	for _, c := range []struct {
		resource, body string
		status         int
		media          string
	}{
		{"score?tab=4+-4", "", 200, mediaJSON},
		{"score", `{"tab":"4 -4","format":"json"}`, 200, mediaJSON},
		{"score", `{"tab":"4 -4","format":"midi"}`, 406, mediaProblem},
		{"picture", `{"tab":"4 -4"}`, 200, mediaSVG},
		{"tab", `{"tab":"4 -4","to_convention":"letters"}`, 200, mediaText},
		{"audio", `{"tab":"4 -4","rate":22050}`, 200, mediaWAV},
		{"harps", "", 200, mediaJSON},
		{"harps/low%20F", "", 200, mediaJSON},
		{"harps/A?layout=solo", "", 200, mediaJSON},
		{"notes/C4", "", 200, mediaJSON},
		{"audio", `{"tab":"4 -4","format":"flac"}`, 406, mediaProblem},
		{"score", `{"tab":"4 Q 5 6"}`, 422, mediaProblem},
		{"score", `{"tab":"4","tempo":9}`, 422, mediaProblem},
		{"score", `{`, 400, mediaProblem},
		{"score?tempo=100", "", 400, mediaProblem},
		{"harps/H", "", 404, mediaProblem},
		{"harps/%", "", 404, mediaProblem},
		{"nothing", "", 404, mediaProblem},
	} {
		var body []byte
		if c.body != "" {
			body = []byte(c.body)
		}
		got := e.ask(context.Background(), c.resource, body)
		assert.Equal(t, c.status, got.status, "%s %s: %s", c.resource, c.body, got.body)
		assert.Equal(t, c.media, got.media, "%s %s", c.resource, c.body)
		assert.NotEmpty(t, got.body)
	}
}

// TestKept: the latest pages stay open, each once.
func TestKept(t *testing.T) {
	e := newEngine()
	first := post(t, "4 -4", nil)
	e.ask(context.Background(), "score", first)
	kept := e.pieces[0].piece
	for range mostPieces + 2 {
		e.ask(context.Background(), "picture", first)
		e.ask(context.Background(), "score", post(t, "5 -5", map[string]any{"tempo": 80 + len(e.pieces)}))
	}
	assert.LessOrEqual(t, len(e.pieces), mostPieces)
	e.ask(context.Background(), "score", first)
	assert.Same(t, kept, e.pieces[0].piece)
}
