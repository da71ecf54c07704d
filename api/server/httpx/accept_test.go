package httpx

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

// ref: RFC 9110, section 12.5.1, the examples, each with what it says of audio.
func TestAcceptOfRFC9110(t *testing.T) {
	for field, want := range map[string]bool{
		"audio/*; q=0.2, audio/basic":                                       true,
		"text/plain; q=0.5, text/html, text/x-dvi; q=0.8, text/x-c":         false,
		"text/*, text/plain, text/plain;format=flowed, */*":                 true,
		"text/*;q=0.3, text/plain;q=0.7, text/plain;format=flowed, */*;q=0": false,
	} {
		require.Equal(t, want, takes(field, "audio/wav"), field)
	}
}

func takes(field, media string) bool {
	r := &http.Request{Header: http.Header{"Accept": {field}}}
	return quality(r, media) > 0
}

func TestAccept(t *testing.T) {
	for field, want := range map[string]bool{
		"": true, "*/*": true, "audio/wav": true, "AUDIO/WAV": true, "audio/*": true, "audio/wav;codecs=1": true, "audio/wav ; q=0.001": true,
		"audio/flac;q=0, audio/wav": true, "audio/webm,audio/ogg,audio/*;q=0.9,application/ogg;q=0.7,*/*;q=0.5": true,
		"audio/flac": false, "video/mp4": false, "audio/wav;q=0": false, "audio/wav;q=0.000, */*": false, "audio/*;q=0, */*": false,
		"audio/*;q=0, audio/wav": true, "*/*;q=0": false, "*/*;q=0, audio/wav;q=0.1": true, "text/html, application/json": false,
		"audio/wav;q=2": true, "audio/wav;q=x, text/html": false, "nonsense": true, "nonsense, text/html": false, ",,": true, "audio/": true, "*/wav, text/html": false,
	} {
		require.Equal(t, want, takes(field, "audio/wav"), field)
	}
	require.Equal(t, 1.0, quality(&http.Request{Header: http.Header{}}, "audio/wav"))
	require.Equal(t, 1.0, quality(&http.Request{Header: http.Header{"Accept": {"text/html", "audio/wav"}}}, "audio/wav"), "two fields are one list")
}
