//go:build outside

package web_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/web"
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
	b.do(chromedp.Navigate(lessons(t, b.url, "4 -4 5", 30)))
	require.Eventually(t, func() bool { return b.asked("/assets/embed.js") == 30 }, time.Minute, 100*time.Millisecond)
	b.do(chromedp.Sleep(settle))
	assert.Equal(t, 30, b.asked("/embed"))
	assert.Zero(t, b.asked("/v1/"))
	b.picture("thirty")
	for tries := 0; tries < 20 && b.asked("/v1/audio") == 0; tries++ { // until the frame is there to be clicked
		b.do(chromedp.MouseClickXY(45, 105), chromedp.Sleep(settle))
	}
	assert.NotZero(t, b.asked("/v1/audio"), "played by a click on the first player's own control")
	require.Eventually(t, func() bool { return b.asked("/v1/score") == 1 }, 20*time.Second, 100*time.Millisecond)
}

// Looked at as a page, since a sandboxed frame of another origin hides what is
// in it: the note that sounds is marked on the sheet, the sound can be sought in,
// slowed down and looped by the row.
func TestEmbedFollows(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(640, 400))
	b.visit("/embed?" + query("tab", "Title: A tune\n4 -4 5 -5 6\n4 -4 5 -5 6 -6 -7 7 6 6 5 5", "tempo", "120"))
	b.do(chromedp.Click(chromedp.CSS("#audio")))
	b.do(chromedp.Evaluate[chromedp.Void](`audio.play()`, chromedp.EvalAwaitPromise))
	place := `(({ note }) => note.line + ':' + note.column)(document.querySelector('.n.lit') ?? { note: {} })`
	b.until(place + ` === '2:6' || ` + place + ` === '2:8'`)
	b.picture("embed-playing")
	assert.InDelta(t, 1.2, eval[float64](b, `audio.currentTime`), 0.9)
	assert.InDelta(t, eval[float64](b, `decoded(audio.src).then((s) => s.length / 48000)`), eval[float64](b, `audio.duration`), 0.001)
	b.do(chromedp.Evaluate[chromedp.Void](`new Promise((done) => { audio.onseeked = done; audio.currentTime = 2.1; audio.pause(); })`, chromedp.EvalAwaitPromise))
	assert.InDelta(t, 2.1, eval[float64](b, `audio.currentTime`), 0.05)
	b.do(chromedp.Click(chromedp.CSS("#slower")), chromedp.Evaluate[chromedp.Void](`audio.currentTime = 0.1; audio.play(); 0`))
	assert.InDelta(t, 0.95, eval[float64](b, `audio.playbackRate`), 1e-9)
	b.do(chromedp.Click(chromedp.CSS("#loop-row")))
	b.until(`document.querySelectorAll('.n.looped').length === 5 && audio.currentTime > 2`)
	b.until(`audio.currentTime < 1`)
	b.quiet()
}

// A frame tells its page how high it would be, the player that starts stops the
// others, and the colours are those that the page asks for.
func TestEmbedTalksToItsPage(t *testing.T) {
	b := open(t)
	frame := `<iframe src="` + b.url + `/embed?theme=dark&` + query("tab", strings.Repeat("4 -4 5\n", 30)) + `" sandbox="allow-scripts" width="400" height="320" title="A tune" allow="autoplay"></iframe>`
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		_, _ = w.Write([]byte(`<!doctype html><title>Lessons</title><script>window.told = []; addEventListener('message', (e) => told.push(e.data));</script>` + web.FrameScript + frame + frame))
	}))
	t.Cleanup(s.Close)
	b.do(chromedp.Navigate(s.URL))
	b.until(`told.filter((d) => d.reedlark === 'height' && d.height > 600).length >= 2`)
	b.until(`[...document.querySelectorAll('iframe')].every((f) => f.offsetHeight > 600)`)
	b.visit("/embed?theme=dark&" + query("tab", "4"))
	assert.Equal(t, "rgb(21, 24, 26)", eval[string](b, `getComputedStyle(document.body).backgroundColor`))
	b.do(chromedp.Click(chromedp.CSS("#sheet")), chromedp.Evaluate[chromedp.Void](`audio.play()`, chromedp.EvalAwaitPromise), chromedp.Evaluate[chromedp.Void](`postMessage({ reedlark: 'playing', player: 'another' }, '*')`))
	b.until(`audio.paused`)
}

// The marking is within 50 ms of the sound, which is led through a recorder on
// its way out.
func TestEmbedMarksOnTime(t *testing.T) {
	b := open(t)
	b.visit("/embed?" + query("tab", "4 -4 5 -5 6 -6 -7 7", "tempo", "150"))
	b.do(chromedp.Click(chromedp.CSS("#sheet")), chromedp.Evaluate[chromedp.Void](`(async () => {
		const context = new AudioContext({ sampleRate: 48000 });
		await context.resume();
		context.createMediaElementSource(audio).connect(context.destination);
		await audio.play();
	})()`, chromedp.EvalAwaitPromise))
	b.until(`audio.ended`)
	late := eval[[]mark](b, `(async () => {
		const want = await decoded(audio.src), got = recording();
		const { notes } = await (await fetch('/v1/score?z=' + document.body.dataset.link)).json();
		const begun = (got.frame - want.findIndex((x) => x !== 0)) / 48000; // when second 0 of the sound was
		return heard.lit.map((l) => ({ Late: l.at - begun - notes.find((n) => n.line + ':' + n.column === l.place).start, Waited: l.waited }));
	})()`)
	assert.GreaterOrEqual(t, len(late), 6)
	onTime(t, late[1:]) // the first may sound before the score is here
}

// mark is how many seconds after its note it came, and how long the page had
// not been let draw before it.
type mark struct{ Late, Waited float64 }

// onTime says that marks are within 50 ms, but for what a machine that is busy
// with other things kept the page from drawing; most had nothing to wait for.
func onTime(t *testing.T, marks []mark) {
	t.Helper()
	within := 0
	for i, m := range marks {
		assert.GreaterOrEqual(t, m.Late, -0.05, "note %d", i)
		assert.Less(t, m.Late, 0.05+m.Waited, "note %d", i)
		if m.Late < 0.05 {
			within++
		}
	}
	assert.Greater(t, within, len(marks)/2)
	t.Logf("seconds late, seconds kept waiting: %.3f", marks)
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
