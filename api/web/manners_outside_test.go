//go:build outside

package web_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/server"
)

// A server that is busy is asked again when it says, and the page says when; in
// the end it plays. ref: RFC 9110, section 10.2.3.
func TestBusyServer(t *testing.T) {
	b := open(t)
	b.turnAway(1)
	b.visit(link("tab", "4 -4 5", "tempo", "200"))
	b.until(`document.querySelector('#status').textContent.includes('Trying again in 2 s')`)
	b.until(read)
	assert.Empty(t, eval[string](b, `document.querySelector('#status').textContent`))
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.starts.length > 0`)

	b.visit("/embed?" + query("tab", "4 -4 5"))
	b.turnAway(2)
	b.do(chromedp.Click(chromedp.CSS("#sheet")), chromedp.Evaluate[chromedp.Void](`audio.play().catch(() => {}); 0`))
	b.until(`document.querySelector('#status').textContent.includes('Trying again in')`)
	b.until(`audio.currentTime > 0.2 && document.querySelector('#status').textContent === ''`)
}

// A server that cannot be reached is no fault of the text, which waits for it.
func TestServerAway(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "4 -4 5"))
	b.until(read)
	b.do(chromedp.Evaluate[chromedp.Void](`window.there = window.fetch; window.fetch = () => Promise.reject(new TypeError('gone')); 0`))
	b.set("tab", "4 -4 5 6")
	b.until(`document.querySelector('#status').textContent.includes('cannot be reached') && document.querySelector('#status').textContent.includes('Trying again in 5 s')`)
	assert.Equal(t, "4 -4 5 6", eval[string](b, `document.querySelector('#tab').value`))
	assert.Equal(t, "Not read yet", eval[string](b, `document.querySelector('h1').textContent`))
	assert.True(t, eval[bool](b, `document.querySelector('#toggle').disabled`), "what was read before is another tab")
	b.do(chromedp.Evaluate[chromedp.Void](`window.fetch = window.there; 0`))
	b.until(`document.querySelectorAll('#sheet .n').length === 4 && document.querySelector('#status').textContent === ''`)
}

// Where addresses of sounds have to be signed the page posts its tab instead, the
// embedded player has one that is, and says what is the matter once it is not.
func TestSignedAddresses(t *testing.T) {
	b := openAt(t, server.Config{Keys: []server.Key{{ID: "a", Secret: make([]byte, 16)}}})
	b.visit(link("tab", "4 -4 5"))
	b.until(read)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.starts.length > 0`)
	assert.False(t, eval[bool](b, `!!document.querySelector('#audio-code')`), "a code that plays nothing")
	b.do(chromedp.Evaluate[chromedp.Void](`const real = URL.createObjectURL; URL.createObjectURL = (blob) => { window.savedSound = blob; return real(blob); }; document.querySelector('#download').click()`))
	b.until(`window.savedSound && savedSound.type === 'audio/wav' && savedSound.size > 44`)
	b.visit("/embed?" + query("tab", "4 -4 5"))
	b.do(chromedp.Click(chromedp.CSS("#sheet")), chromedp.Evaluate[chromedp.Void](`audio.play().catch(() => {}); 0`))
	b.until(`audio.currentTime > 0.1`)
	assert.Empty(t, eval[string](b, `document.querySelector('#status').textContent`))
	b.do(chromedp.Evaluate[chromedp.Void](`audio.src = audio.src.replace(/signature=[^&]*/, 'signature=none'); audio.play().catch(() => {}); 0`))
	b.until(`document.querySelector('#status').textContent.includes('signed')`)
}

// Where the text cannot be played the rest of the page can be used: the chart
// sounds, the settings change, and what is put right plays.
func TestErrorLeavesTheRest(t *testing.T) {
	b := open(t)
	b.before(offersEdit)
	b.visit(link("tab", "4 44 5"))
	b.until(`document.querySelector('#chart table') && document.querySelector('.problem.error .fix') && true`)
	b.do(chromedp.Click(chromedp.CSS(`#chart button[aria-label="4, C5"]`)))
	b.until(`heard.starts.length > 0`)
	b.set("harp", "A")
	b.until(`document.querySelector('#chart caption').textContent.startsWith('Harp in A')`)
	b.do(chromedp.Click(chromedp.CSS(".fix")))
	b.until(`!document.querySelector('#toggle').disabled && document.querySelectorAll('#sheet .n[role]').length === 4`)
}

// Nothing glides for those who would rather not, and nothing is hidden from
// them.
func TestReducedMotion(t *testing.T) {
	for _, motion := range []string{"reduce", "no-preference"} {
		b := open(t)
		b.media("", "prefers-reduced-motion", motion)
		b.before(`window.glides = []; const real = Element.prototype.scrollIntoView;
			Element.prototype.scrollIntoView = function (o) { window.glides.push(o?.behavior); return real.call(this, o); };`)
		b.do(chromedp.EmulateViewport(390, 700))
		b.visit(link("tab", strings.Repeat("4 -4 5 -5\n", 12), "tempo", "300"))
		b.until(read)
		b.do(chromedp.Click(chromedp.CSS("#toggle")))
		b.until(`glides.length >= 3`)
		glides := eval[[]string](b, `[...new Set(glides)]`)
		assert.Equal(t, []string{map[string]string{"reduce": "auto", "no-preference": "smooth"}[motion]}, glides)
		assert.Equal(t, "auto", eval[string](b, `getComputedStyle(document.documentElement).scrollBehavior`))
		assert.Zero(t, eval[int](b, `document.getAnimations().length`))
	}
}

// The Tab key leads into the player in its frame and out of it again.
// ref: WCAG 2.2, 2.1.2 No Keyboard Trap.
func TestNoTrapInTheFrame(t *testing.T) {
	b := open(t)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		_, _ = w.Write([]byte(`<!doctype html><title>Lesson</title><button id="before">before</button>
			<iframe src="` + b.url + `/embed?` + query("tab", "4 -4 5") + `" sandbox="allow-scripts" width="600" height="400" title="A tune"></iframe>
			<button id="after">after</button>`))
	}))
	t.Cleanup(s.Close)
	b.do(chromedp.Navigate(s.URL))
	b.until(`document.readyState === 'complete'`)
	require.Eventually(t, func() bool { return b.asked("/assets/embed.js") > 0 }, polled, tick)
	b.do(chromedp.Focus(chromedp.CSS("#before")))
	var order []string
	for range 30 {
		b.do(chromedp.KeyEvent(kb.Tab))
		at := eval[string](b, `document.activeElement.id || document.activeElement.tagName`)
		order = append(order, at)
		if at == "after" {
			break
		}
	}
	assert.Contains(t, order, "IFRAME")
	assert.Equal(t, "after", order[len(order)-1], "%v", order)
	b.do(chromedp.KeyEvent(kb.Tab, chromedp.KeyModifiers(8))) // with Shift
	b.until(`document.activeElement.tagName === 'IFRAME'`)    // a frame of another origin is told by and by
}

// Paper has the sheet black on white and no controls, whatever the screen is like
// and whatever is looped or lit on it.
func TestPrint(t *testing.T) {
	b := open(t)
	b.visit("/")
	b.until(read)
	b.practise()
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#to-bar').value = 1; document.querySelector('#loop').click()`))
	b.until(`document.querySelector('.n.looped') && true`)
	b.media("print", "prefers-color-scheme", "dark")
	type paper struct {
		Shown, Hidden []string
		Ink           []string
	}
	got := eval[paper](b, `(() => {
		const seen = (s) => document.querySelector(s)?.checkVisibility() ?? false;
		const ink = (s, p) => getComputedStyle(document.querySelector(s))[p];
		return {
			Shown: ['h1', '#setting', '.row', '.n svg', '.count', '.sung'].filter((s) => !seen(s)),
			Hidden: ['form', '#toggle', '#play', '#practise', '.chart', '.share', 'footer', '.top', '.to', '.legend', '#status', '#picture'].filter(seen),
			Ink: [ink('body', 'color'), ink('body', 'backgroundColor'), ink('.n.looped', 'backgroundColor'), ink('#sheet .shape.draw', 'fill'), ink('#sheet .shape.blow', 'fill')],
		};
	})()`)
	assert.Empty(t, got.Shown, "not on paper")
	assert.Empty(t, got.Hidden, "on paper")
	assert.Equal(t, []string{"rgb(0, 0, 0)", "rgb(255, 255, 255)", "rgba(0, 0, 0, 0)", "rgb(0, 0, 0)", "rgb(255, 255, 255)"}, got.Ink)
	b.paper("print")
}

// Twenty bars with their words and counts are one sheet of A4.
func TestPrintOnOneSheet(t *testing.T) {
	b := open(t)
	row := "4 -4 5 -5 | 6 -6 {6 -6} 7 | -3// -3 4 - | 6- r - |\nOh lord what a morn-ing when the stars be-gin to fall a-gain\n\n"
	b.visit(link("tab", "Title: Twenty bars\nHarp: A\nTempo: 90\nMetre: 4/4\n"+strings.Repeat(row, 5)))
	b.until(`document.querySelectorAll('#sheet .row').length === 5`)
	var pdf []byte
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		out, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: new(true)})
		if err == nil {
			pdf = out.Data
		}
		return err
	}))
	assert.Len(t, regexp.MustCompile(`/Type\s*/Page[^s]`).FindAll(pdf, -1), 1, "pages")
}

// On a projector all of it is in sight from side to side, and large.
func TestProjector(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(1920, 1080))
	b.visit("/")
	b.until(read)
	assert.LessOrEqual(t, eval[float64](b, `document.documentElement.scrollWidth`), 1920.0)
	smallest := eval[float64](b, `Math.min(...[...document.querySelectorAll('.sheet .sung, .small, button, p')].filter((e) => e.checkVisibility()).map((e) => parseFloat(getComputedStyle(e).fontSize)))`)
	assert.GreaterOrEqual(t, smallest, 16.0)
	assert.GreaterOrEqual(t, eval[float64](b, `document.querySelector('#sheet .number').getBoundingClientRect().height`), 24.0)
	b.picture("projector")
	b.visit("/notes/C5")
	assert.LessOrEqual(t, eval[float64](b, `document.documentElement.scrollWidth`), 1920.0)
}

// A tab that is too long for a link says so and is kept on the device, every
// character of it; it can be saved as a file. An opened file is another tab, and
// one step brings back what was there before.
func TestTooLongIsKept(t *testing.T) {
	b := open(t)
	b.before(`window.saved = []; const real = URL.createObjectURL;
		URL.createObjectURL = (blob) => { blob.text().then((t) => saved.push(t)); return real.call(URL, blob); };
		window.commands = 0; document.execCommand = () => { commands++; return false; };`)
	b.do(chromedp.EmulateViewport(1280, 800))
	b.visit("/")
	b.until(read)
	b.set("tab", longTab())
	b.until(`document.querySelector('#too-long').textContent.includes('save it as a file') && document.querySelectorAll('#sheet .n').length > 1000`)
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#save-tab').click()`))
	b.until(`saved.length === 1`)
	assert.Equal(t, longTab(), eval[string](b, `saved[0]`))
	b.do(chromedp.Sleep(settle))
	b.visit("/")
	b.until(`document.querySelectorAll('#sheet .n').length > 1000`)
	assert.Equal(t, longTab(), eval[string](b, `document.querySelector('#tab').value`), "the last tab reopens")
	file := filepath.Join(t.TempDir(), "a.txt")
	require.NoError(t, os.WriteFile(file, []byte("Title: From a file\n4 -4 5"), 0o600))
	b.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file}))
	b.until(`document.querySelector('h1').textContent === 'From a file' && document.querySelector('#too-long').textContent === ''`)
	b.do(chromedp.Click(chromedp.CSS("#undo")))
	b.until(`document.querySelectorAll('#sheet .n').length > 1000`)
	assert.Equal(t, longTab(), eval[string](b, `document.querySelector('#tab').value`))
	assert.Zero(t, eval[int](b, `commands`), "the browser's own insertion takes time that grows with its square")
}

// Whatever has the focus can be seen, although the player stays in reach.
// ref: WCAG 2.2, 2.4.11 Focus Not Obscured (Minimum).
func TestFocusIsSeen(t *testing.T) {
	b := open(t)
	b.before(offersEdit)
	for _, size := range [][2]int64{{390, 700}, {1280, 700}, {320, 256}} {
		b.do(chromedp.EmulateViewport(size[0], size[1]))
		b.visit(link("tab", "4 44 5\n4 -4 5\nla la la"))
		b.until(`document.querySelector('.problem .fix') && document.querySelector('#chart table') && true`)
		b.do(chromedp.Evaluate[chromedp.Void](`for (const d of document.querySelectorAll('details')) d.open = true; scrollTo(0, 0)`))
		for range 120 {
			b.do(chromedp.KeyEvent(kb.Tab))
			hidden := eval[string](b, `(() => {
				const e = document.activeElement, r = e.getBoundingClientRect(), p = document.querySelector('.play').getBoundingClientRect();
				if (e === document.body || e.closest('.play, .skip')) return e === document.body ? 'end' : '';
				const covered = p.top <= r.top + 1 && r.bottom - 1 <= p.bottom && p.left < r.right && r.left < p.right;
				const away = r.bottom <= 0 || r.top >= innerHeight;
				return covered || away ? (e.id || e.textContent || e.tagName) + JSON.stringify([r, p, innerHeight]) : '';
			})()`)
			if hidden == "end" {
				break
			}
			assert.Empty(t, hidden, "%v", size)
		}
	}
}
