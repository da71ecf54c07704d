//go:build outside

package web_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lessons is a site of another origin with so many players in it, in the
// strictest frame: no origin of its own, under a policy that lets in only what
// allows it. ref: HTML, sandboxing and cross-origin embedder policies.
func lessons(t *testing.T, ours, tab string, count int) string {
	page := "<!doctype html><title>Lessons</title>"
	for range count {
		page += fmt.Sprintf(`<iframe src="%s/embed?%s" sandbox="allow-scripts" width="400" height="320" title="A tune"></iframe>`, ours, query("tab", tab))
	}
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		w.Header().Set("Cross-Origin-Embedder-Policy", "require-corp")
		w.Header().Set("Content-Security-Policy", "default-src 'none'; frame-src "+ours)
		if r.URL.Path == "/" {
			_, _ = w.Write([]byte(page))
		}
	}))
	t.Cleanup(s.Close)
	return strings.Replace(s.URL, "127.0.0.1", "localhost", 1)
}

// Thirty players load nothing but themselves until one is played; then that one
// fetches its sound, in a sandbox, under a foreign policy.
func TestThirtyEmbedsLoadNothingUntilPlayed(t *testing.T) {
	b := open(t)
	b.do(chromedp.Navigate(lessons(t, b.url, "4 -4 5", 30)), chromedp.Sleep(settle))
	assert.Equal(t, 30, b.asked("/embed"))
	assert.Zero(t, b.asked("/v1/"))
	b.picture("thirty")
	b.do(chromedp.MouseClickXY(45, 105))
	b.do(chromedp.Sleep(2 * settle))
	assert.NotZero(t, b.asked("/v1/audio"), "played by a click on the first player's own control")
	assert.Equal(t, 1, b.asked("/v1/score"))
}

// Looked at as a page, since a sandboxed frame of another origin hides what is
// in it: the note that sounds is marked, and the whole comes to an end.
func TestEmbedFollows(t *testing.T) {
	b := open(t)
	b.visit("/embed?" + query("tab", "4 -4 5 -5 6", "tempo", "120"))
	b.do(chromedp.Click(chromedp.CSS("#audio")))
	b.do(chromedp.Evaluate[chromedp.Void](`audio.play()`, chromedp.EvalAwaitPromise))
	b.until(`document.querySelector('.n.lit')?.textContent === '5'`)
	assert.InDelta(t, 1.2, eval[float64](b, `audio.currentTime`), 0.5)
	assert.InDelta(t, eval[float64](b, `decoded(audio.src).then((s) => s.length / 48000)`), eval[float64](b, `audio.duration`), 0.001)
	b.do(chromedp.Evaluate[chromedp.Void](`new Promise((done) => { audio.onseeked = done; audio.currentTime = 2.1; audio.pause(); })`, chromedp.EvalAwaitPromise))
	assert.InDelta(t, 2.1, eval[float64](b, `audio.currentTime`), 0.05)
	b.quiet()
}

// A tab that cannot be played says so where the player would be.
func TestEmbedSaysWhy(t *testing.T) {
	b := open(t)
	b.visit("/embed?" + query("tab", "4 44 5"))
	assert.Contains(t, eval[string](b, `document.body.innerText`), "column 3")
	b.visit("/embed?z=nonsense")
	assert.NotEmpty(t, eval[string](b, `document.querySelector('.refusal').innerText`))
	require.False(t, eval[bool](b, `!!document.querySelector('audio')`))
}
