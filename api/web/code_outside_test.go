//go:build outside

package web_test

import (
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whoever pastes the code we hand out into their own page gets a frame and
// nothing else, whatever the title is; and on our own page it stays text, with
// scripts and before they run.
func TestPastedCodeIsOnlyAFrame(t *testing.T) {
	b := open(t)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write([]byte(`<!doctype html><title>Lesson</title><script>window.hurts = 0; function hurt() { window.hurts++; }</script>`))
	}))
	t.Cleanup(s.Close)
	type pasted struct {
		Elements []string
		Title    string
		Hurts    int
	}
	for _, title := range hostile {
		tab := "Title: " + title + "\n4 -4\n"
		b.before(`window.hurts = 0; window.hurt = () => window.hurts++;`)
		b.visit(link("tab", tab))
		asSent := eval[string](b, `document.querySelector('#frame-code').value`)
		b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#frame-code').value = ''; document.querySelector('#embed').open = true`))
		b.until(`document.querySelector('#frame-code').value !== ''`)
		assert.Equal(t, asSent, eval[string](b, `document.querySelector('#frame-code').value`), "%s: with scripts and without", title)
		assert.Zero(t, eval[int](b, `hurts + document.querySelectorAll('iframe').length`), title)
		want := eval[string](b, `document.querySelector('h1').textContent`)

		b.do(chromedp.Navigate(s.URL))
		b.until(`document.readyState === 'complete'`)
		b.do(chromedp.Evaluate[chromedp.Void](`document.write(` + quoted(asSent) + `); document.close(); 0`))
		got := eval[pasted](b, `({ Elements: [...document.body.querySelectorAll('*')].map((e) => e.tagName), Title: document.querySelector('iframe').title, Hurts: window.hurts ?? 0 })`)
		require.Equal(t, []string{"IFRAME"}, got.Elements, title)
		assert.Equal(t, want, got.Title)
		assert.Zero(t, got.Hurts, title)
	}
}
