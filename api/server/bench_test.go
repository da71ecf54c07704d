//go:build unix

package server

import (
	"io"
	"net/http"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// BenchmarkKept is what a call costs, in time and, where the store has a hand in
// it, in kept bytes: made anew each time, with the piece kept, and with all kept.
func BenchmarkKept(b *testing.B) {
	page := "&tab=" + strings.Repeat("4+-4+5+-5+6+-6+7+-7%0A", 15) + "&tempo=120." // a minute
	for _, target := range []string{"/v1/audio?format=wav", "/v1/audio?format=flac", "/v1/score?format=json", "/v1/picture?format=json"} {
		for name, cfg := range map[string]Config{"never": {CacheBytes: -1}, "all": {CacheBytes: 64 << 20}} {
			b.Run(strings.TrimPrefix(target, "/v1/")+"/kept="+name, func(b *testing.B) {
				cfg.Log = quiet.Log
				s := newService(cfg.filled())
				h := s.handler()
				w := &counted{header: http.Header{}}
				h.ServeHTTP(w, call{target: target + page + "0"}.request())
				require.Equal(b, http.StatusOK, w.status)
				before := processor(b)
				for n := 0; b.Loop(); n++ {
					again := 0
					if name == "never" {
						again = n // the store forgets, but not at once
					}
					h.ServeHTTP(&counted{header: http.Header{}}, call{target: target + page + strconv.Itoa(again)}.request())
				}
				b.ReportMetric(1e3*(processor(b)-before)/float64(b.N), "cpu-ms")
				kept, _ := s.store.Size()
				b.ReportMetric(float64(kept)/1e3, "kept-kB")
				b.ReportMetric(float64(w.bytes)/1e3, "sent-kB")
			})
		}
	}
}

// BenchmarkRefusal is what it costs to say no.
func BenchmarkRefusal(b *testing.B) {
	s := newService(Config{Log: quiet.Log, Slots: 1, Line: 1}.filled())
	h := s.handler()
	defer busy(b, s, 2)()
	page := "&tab=" + strings.Repeat("4+-4+5+-5+6+-6+7+-7%0A", 15)
	n := 0
	for b.Loop() {
		n++
		w := &counted{header: http.Header{}}
		h.ServeHTTP(w, call{target: "/v1/audio?tempo=120." + strconv.Itoa(n) + page}.request())
		require.Equal(b, http.StatusServiceUnavailable, w.status)
	}
}

// processor is the seconds of processor time used so far.
func processor(b *testing.B) float64 {
	b.Helper()
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// BenchmarkOverHTTP compares what a long sound costs over HTTP, anew each time, with
// what it costs the command line: processor time of both within one run.
func BenchmarkOverHTTP(b *testing.B) {
	dense := strings.Repeat("chords: C F G C\n4 -4 5 -5 | 6 -6 7 -7 | 4 -4 5 -5 | 6 -6 7 -7\n", 300)
	slow := strings.Repeat("chords: C F G C\n4--- | 6--- | -4--- | -6--- |\n", 90)
	for _, k := range []struct{ name, tab, settings string }{
		{"plain", dense, `"tempo":400`},
		{"few", slow, `"tempo":120`},
		{"chords", dense, `"tempo":400,"backing":"chords"`},
		{"drone", slow, `"tempo":120,"backing":"drone"`},
		{"split", dense, `"tempo":400,"backing":"chords","mix":"split"`},
		{"large", dense, `"tempo":400,"backing":"chords","channels":2,"depth":24,"room":1`},
		{"dry", slow, `"tempo":120,"room":0,"rate":22050`},
		{"loud", slow, `"tempo":120,"backing":"chords","loudness":-12`},
		{"flac", slow, `"tempo":120,"backing":"chords","format":"flac"`},
	} {
		b.Run(k.name, func(b *testing.B) {
			body, err := api.JSON(k.tab)
			require.NoError(b, err)
			text := `{` + k.settings + `,"tab":` + string(body) + `}`
			req, err := api.FromJSON([]byte(text))
			require.NoError(b, err)
			h := Handler(Config{Log: quiet.Log, CacheBytes: -1})
			var over, alone float64
			for b.Loop() {
				from := processor(b)
				w := &counted{header: http.Header{}}
				h.ServeHTTP(w, call{target: "/v1/audio", body: text}.request())
				require.Equal(b, http.StatusOK, w.status)
				middle := processor(b)
				render(b, req)
				over, alone = over+middle-from, alone+processor(b)-middle
			}
			b.ReportMetric(over/alone, "times-the-command-line")
		})
	}
}

// render makes a whole sound as the command line does.
func render(b *testing.B, req api.Request) {
	b.Helper()
	piece, err := api.Open(b.Context(), req)
	require.NoError(b, err)
	sound, err := piece.Sound(b.Context())
	require.NoError(b, err)
	if req.Format == "flac" {
		_, err = sound.FLAC(b.Context())
	} else {
		err = sound.WriteTo(b.Context(), io.Discard)
	}
	require.NoError(b, err)
}
