package server

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFormatWinsOverAccept(t *testing.T) {
	for target, media := range map[string]string{
		"/v1/audio?tab=4&format=wav": "audio/wav", "/v1/score?tab=4&format=json": "application/json",
		"/v1/audio?tab=4&format=flac": "audio/flac", "/v1/score?tab=4&format=midi": "audio/midi",
	} {
		res := ask(t, call{target: target, header: accept("text/html")})
		require.Equal(t, http.StatusOK, res.StatusCode)
		require.Equal(t, media, res.Header.Get("Content-Type"))
	}
}

// A query that names a format of one resource serves the others too.
func TestFormatOfAnotherResourceIsIgnored(t *testing.T) {
	for _, target := range []string{"/v1/score?tab=4&format=wav", "/v1/audio?tab=4&format=json", "/v1/tab?tab=4&format=wav", "/v1/tab?tab=4&format=midi", "/v1/score?tab=4&format=flac", "/v1/audio?tab=4&format=midi"} {
		require.Equal(t, http.StatusOK, ask(t, call{target: target}).StatusCode, target)
		require.Equal(t, http.StatusNotAcceptable, ask(t, call{target: target, header: accept("text/html")}).StatusCode, target)
	}
}

// What is liked best, and of what is liked alike the usual.
func TestAcceptChooses(t *testing.T) {
	for field, want := range map[string]string{
		"audio/flac": "audio/flac", "audio/flac, audio/wav": "audio/wav", "audio/*": "audio/wav", "*/*": "audio/wav",
		"audio/wav;q=0.2, audio/flac": "audio/flac", "audio/flac;q=0.2, audio/*;q=0.3": "audio/wav", "audio/wav;q=0, */*;q=0.1": "audio/flac",
		"audio/webm,audio/ogg,audio/wav,audio/*;q=0.9,*/*;q=0.5": "audio/wav",
	} {
		res := ask(t, call{target: "/v1/audio?tab=4", header: accept(field)})
		require.Equal(t, want, res.Header.Get("Content-Type"), field)
	}
	require.Equal(t, "audio/midi", ask(t, call{target: "/v1/score?tab=4", header: accept("audio/midi")}).Header.Get("Content-Type"))
}
