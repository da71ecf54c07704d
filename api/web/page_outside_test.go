//go:build outside

package web_test

import (
	"fmt"
	"math/rand/v2"
	"net/url"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
)

// query makes a query of names and values in turn.
func query(parameters ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(parameters); i += 2 {
		q.Set(parameters[i], parameters[i+1])
	}
	return q.Encode()
}

// read says that the page has read its tab and shows its notes to be tapped.
const read = `document.querySelectorAll('#sheet .n[role]').length > 0 && document.querySelector('#chart table') && true`

// settled says of any page that it has fetched and drawn what it shows, though
// its text has mistakes.
const settled = `document.readyState === 'complete' && (!document.querySelector('#form') || (document.querySelector('#chart table') && !document.querySelector('.nojs'))) && true`

// What sounds is, sample for sample, what the server sends, and begins at the
// frame it was scheduled for: the recording of the audio graph against the
// browser's own decoding of the same file.
func TestWhatSoundsIsWhatIsAskedFor(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "4 -4 5 -5 6 -6", "tempo", "100"))
	b.until(read)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`document.querySelector('#toggle .word').textContent === 'Pause'`)
	b.until(`document.querySelector('#toggle .word').textContent === 'Play'`)
	b.do(chromedp.Evaluate[chromedp.Void](`decoded(document.querySelector('#download').href).then((w) => { window.want = w; window.first = w.findIndex((x) => x !== 0); })`, chromedp.EvalAwaitPromise))
	b.until(`recording().length >= want.length - first`)
	type difference struct {
		Worst, Late float64
		Starts      string // what was scheduled when, for how long, seconds
	}
	d := eval[difference](b, `(() => {
		const got = recording();
		const begun = got.frame - first, late = heard.starts.map((s) => begun - Math.round(48000 * s.when));
		return { Worst: worst(got, want.slice(first)), Late: late.sort((a, b) => Math.abs(a) - Math.abs(b))[0],
			Starts: JSON.stringify(heard.starts.map((s) => [s.when, s.length])) };
	})()`)
	assert.Less(t, d.Worst, 1.0/32768, "%s", d.Starts)
	assert.Zero(t, d.Late, "frames")
	b.quiet()
}

// A beat in the middle of the tune is played from there on: what is scheduled
// first is the sound of that place, within 0.05 s.
func TestSeek(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "4 -4 5 -5 6 -6 -7 7", "tempo", "60"))
	b.until(read)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`recording().length > 9600 && document.querySelector('#toggle .word').textContent === 'Pause'`)
	b.do(chromedp.Click(chromedp.CSS("#toggle")), chromedp.Sleep(settle)) // the sound is all here by now
	b.do(chromedp.Evaluate[chromedp.Void](`heard.blocks = []; heard.starts = []; const s = document.querySelector('#seek'); s.value = 5.4; s.dispatchEvent(new Event('change'))`))
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.starts.length > 0`)
	b.until(`recording().length > 9600`)
	off := eval[float64](b, `decoded(document.querySelector('#download').href).then((want) => {
		const got = recording().slice(0, 4800);
		let best = [1, 0];
		for (let at = 5.3 * 48000; at < 5.5 * 48000; at++) {
			let worst = 0;
			for (let i = 0; i < got.length && worst < best[0]; i++) worst = Math.max(worst, Math.abs(got[i] - want[at + i]));
			if (worst < best[0]) best = [worst, at];
		}
		return best[0] < 1 / 32768 ? best[1] / 48000 - 5.4 : 9;
	})`)
	assert.InDelta(t, 0, off, 0.05)
}

// A loop has no gap and no click: over many rounds the recording is the same
// stretch of sound again and again, and its seam is no rougher than the music
// within it.
func TestLoopSeam(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "Metre: 2/4\n4 -4 | 5 -5 | 6 6 |", "tempo", "240"))
	b.until(read)
	b.practise()
	b.do(chromedp.SetValue(chromedp.CSS("#from-bar"), "2"), chromedp.SetValue(chromedp.CSS("#to-bar"), "2"),
		chromedp.SetValue(chromedp.CSS("#to-beat"), "2"), chromedp.Click(chromedp.CSS("#loop")),
		chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`recording().length > 48000 * 3`)
	type seam struct{ Length, Differ, Seam, Within float64 }
	s := eval[seam](b, `(() => {
		const got = recording(), { loopStart, loopEnd } = heard.starts[0];
		const n = Math.round((loopEnd - loopStart) * 48000), from = Math.round(loopStart * 48000);
		const jump = (i) => Math.abs(got[i + 1] - 2 * got[i] + got[i - 1]);
		let Differ = 0, Seam = 0, Within = 0;
		for (let i = from + 10; i + n < got.length - 48000; i++) {
			Differ = Math.max(Differ, Math.abs(got[i] - got[i + n]));
			Within = Math.max(Within, jump(i));
		}
		const edge = recordedEdge(got);
		for (let i = edge - 40; i < edge + 40; i++) Seam = Math.max(Seam, jump(i));
		return { Length: n / 48000, Differ, Seam, Within };
		function recordedEdge() { return Math.round(loopEnd * 48000) - firstOf(heard.last.buffer.getChannelData(0)); }
		function firstOf(samples) { return samples.findIndex((x) => x !== 0); }
	})()`)
	assert.InDelta(t, 2*60.0/240, s.Length, 0.0001, "two beats")
	assert.Less(t, s.Differ, 1.0/32768, "one round and the next")
	assert.LessOrEqual(t, s.Seam, s.Within, "the seam and the music")
	t.Logf("seam %.5f, music %.5f (second difference of full scale)", s.Seam, s.Within)
}

// practise opens the practice panel and waits until it knows the bars.
func (b *browser) practise() {
	b.t.Helper()
	b.do(chromedp.Click(chromedp.CSS("#practise summary")))
	b.until(`document.querySelector('#to-bar').checkVisibility() && document.querySelector('#to-bar').value !== '0'`)
}

// The note that is lit is the one that sounds, within 50 ms.
func TestMarkingIsOnTime(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "4 -4 5 -5 6 -6 -7 7", "tempo", "150"))
	b.until(read)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.lit.length > 0`)
	b.until(`document.querySelector('#toggle .word').textContent === 'Play'`)
	late := eval[[]mark](b, `(async () => {
		const want = await decoded(document.querySelector('#download').href), { notes } = await (await fetch(document.querySelector('#save-notes').href)).json();
		const begun = (recording().frame - want.findIndex((x) => x !== 0)) / 48000;
		return heard.lit.map((l) => ({ Late: l.at - begun - notes.find((n) => n.line + ':' + n.column === l.place).start, Waited: l.waited }));
	})()`)
	assert.GreaterOrEqual(t, len(late), 6, "a machine that is busy may miss one")
	onTime(t, late)
}

// Everything by keys alone, as far as a hurried learner goes: play and stop,
// from note to note, a loop by two notes; and no field holds the focus.
func TestKeysAlone(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(1280, 800))
	b.visit(link("tab", "4 -4 5 -5 6", "tempo", "100"))
	b.until(read)
	var order []string
	for range 80 {
		b.do(chromedp.KeyEvent(kb.Tab))
		at := eval[string](b, `document.activeElement === document.body ? 'BODY' : document.activeElement.id || document.activeElement.className || document.activeElement.tagName`)
		order = append(order, at)
		if at == "BODY" {
			break
		}
	}
	for _, id := range []string{"tab", "harp", "slower", "faster", "start", "toggle", "seek", "loop-row", "count_in", "click", "n", "copy-link", "download", "as-picture", "as-large"} {
		assert.Contains(t, order, id)
	}
	b.do(chromedp.Focus(chromedp.CSS("#toggle")), chromedp.KeyEvent(kb.Enter))
	b.until(`document.querySelector('#toggle .word').textContent === 'Pause' && heard.starts.length > 0`)
	b.do(chromedp.KeyEvent(kb.Enter))
	b.until(`document.querySelector('#toggle .word').textContent === 'Play'`)
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#tap').value = 'loop'; document.querySelector('#sheet .n').focus()`),
		chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.Enter), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.Enter))
	b.until(`document.querySelector('#loop').checked && document.querySelectorAll('.n.looped').length === 2`)
}

// underlined says that the first mark behind the text has the words at the place
// where the text has them: both wrap in the same way at the same offsets.
const underlined = `(() => {
	const text = document.querySelector('#tab'), layer = document.querySelector('#marks');
	const style = (e, name) => getComputedStyle(e)[name];
	return ['fontFamily', 'fontSize', 'lineHeight', 'paddingLeft', 'paddingTop', 'borderTopWidth', 'tabSize', 'letterSpacing']
		.every((n) => style(text, n) === style(layer, n)) && layer.textContent === text.value + '\n' &&
		layer.clientWidth === text.clientWidth && layer.scrollTop === text.scrollTop && layer.scrollHeight >= text.scrollHeight - 2 &&
		layer.getBoundingClientRect().top === text.getBoundingClientRect().top;
})()`

// offersEdit gives a diagnostic the edit it has, where the server says none.
const offersEdit = `const asks = window.fetch; window.fetch = async (...args) => {
	const answer = await asks(...args);
	if (!String(args[0]).startsWith('/v1/score')) return answer;
	const body = await answer.json();
	for (const d of body.diagnostics ?? []) {
		if (d.code === 'same-hole-twice' && !d.edits?.length) d.edits = [{ label: 'Write 4 4', keeps: true, everywhere: false, changes: [{ line: d.line, column: d.column, length: 2, text: '4 4' }] }];
	}
	return new Response(JSON.stringify(body), { status: answer.status, headers: answer.headers });
};`

// What is wrong is said in the page, the text stays, and the fix is one click.
func TestMistakes(t *testing.T) {
	b := open(t)
	b.before(offersEdit)
	b.do(chromedp.EmulateViewport(1280, 800))
	b.visit(link("tab", "4 44 5"))
	b.until(`document.querySelector('.problem.error .fix') && true`)
	b.picture("error")
	assert.True(t, eval[bool](b, underlined+` && document.querySelector('#marks mark.error').textContent === '44'`))
	assert.Equal(t, "4 44 5", eval[string](b, `document.querySelector('#tab').value`))
	assert.Equal(t, "45", eval[string](b, `[...document.querySelectorAll('#sheet .n')].map((n) => n.textContent).join('')`), "the rest plays")
	assert.False(t, eval[bool](b, `document.querySelector('#toggle').disabled`))
	b.do(chromedp.Click(chromedp.CSS(".place")))
	b.until(`document.querySelector('.problem.here') && document.activeElement.id === 'tab'`)
	assert.Equal(t, []int{2, 4}, eval[[]int](b, `[document.querySelector('#tab').selectionStart, document.querySelector('#tab').selectionEnd]`))
	b.do(chromedp.Click(chromedp.CSS(".fix")))
	b.until(`document.querySelectorAll('#sheet .n').length === 4`)
	assert.Equal(t, "4 4 4 5", eval[string](b, `document.querySelector('#tab').value`))
	b.do(chromedp.Focus(chromedp.CSS("#tab")), chromedp.KeyEvent("z", chromedp.KeyModifiers(2))) // with Control
	b.until(`document.querySelector('#tab').value === '4 44 5'`)
	b.do(chromedp.KeyEvent("y", chromedp.KeyModifiers(2)))
	b.until(`document.querySelector('#tab').value === '4 4 4 5'`)
	b.do(chromedp.SendKeys(chromedp.CSS("#tab"), " 6"))
	b.until(`document.querySelectorAll('#sheet .n').length === 5`)
	b.reload()
	b.until(read)
	assert.Equal(t, "4 4 4 6 5", eval[string](b, `document.querySelector('#tab').value`), "typed after the fix, and brought back by the address")
}

// A title that is a script is a title.
func TestScriptInTitle(t *testing.T) {
	b := open(t)
	evil := `<script>window.hurt=1</script><img src=x onerror=window.hurt=1>"'`
	for _, path := range []string{"/", "/embed"} {
		b.visit(path + "?" + query("tab", "Title: "+evil+"\n"+evil+"\n4 -4 5\n"))
		b.until(`document.querySelector('h1').textContent.includes('script')`)
		assert.Equal(t, evil, eval[string](b, `document.querySelector('h1').textContent`))
		assert.False(t, eval[bool](b, `'hurt' in window`))
	}
	b.quiet()
}

// A long page of tab is too long for a link; it says so and still plays.
func TestLongTab(t *testing.T) {
	b := open(t)
	b.visit("/")
	b.until(read)
	b.do(chromedp.Evaluate[chromedp.Void](`const t = document.querySelector('#tab'); t.value = ` + quoted(longTab()) + `; t.dispatchEvent(new Event('input', {bubbles: true}))`))
	b.until(`document.querySelectorAll('#sheet .n').length > 1000`)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.starts.length > 0`)
	assert.Contains(t, eval[string](b, `document.querySelector('#too-long').textContent`), "save it as a file")
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#as-picture').click()`))
	b.until(`document.querySelectorAll('#picture .strip').length > 100`)
	assert.Less(t, eval[int](b, `document.querySelectorAll('#picture .note').length`), 500, "strips far away are not read yet")
	b.do(chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll('#picture .strip')].at(-1).scrollIntoView()`))
	b.until(`[...document.querySelectorAll('#picture .strip')].at(-1).querySelector('.note') && true`)
	b.picture("long")
}

// longTab is 300 lines of tab with words that a link has no room for. Its
// randomness is that of a fixed seed.
func longTab() string {
	dice := rand.New(rand.NewPCG(1, 2))
	text := "Tempo: 300\n"
	for range 300 {
		for range 6 {
			text += fmt.Sprintf("%d ", 1+dice.IntN(10))
		}
		text += "\nla "
		for range 20 {
			text += string(rune('a' + dice.IntN(26)))
		}
		text += " la\n"
	}
	return text
}

// Reflow at 320 CSS pixels. ref: WCAG 2.2, 1.4.10. Targets of 24 by 24 or
// enough apart are among the rules of axe.
func TestSmallScreen(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(320, 640))
	for _, path := range []string{"/", "/notes/C5", "/embed?" + query("tab", "4 -4 5"), link("tab", "4 44")} {
		b.visit(path)
		b.until(settled)
		assert.LessOrEqual(t, eval[float64](b, `document.documentElement.scrollWidth`), 320.0, path)
		accessible(b, path)
		b.picture("small" + safe(path))
	}
}

// Nothing for axe-core to find at WCAG 2.2 AA, in either scheme, in any state.
func TestAccessible(t *testing.T) {
	for _, scheme := range []string{"light", "dark"} {
		b := open(t)
		b.media("", "prefers-color-scheme", scheme)
		b.do(chromedp.EmulateViewport(1280, 900))
		for _, path := range []string{"/", "/notes/C5", "/notes/H9", "/embed?" + query("tab", "4 -4 5"), "/embed?" + query("tab", "44"), link("tab", ""), link("tab", "4 44 5")} {
			b.visit(path)
			b.until(settled)
			accessible(b, scheme+" "+path)
			b.picture(scheme + safe(path))
		}
		b.visit("/")
		b.until(read)
		b.do(chromedp.Evaluate[chromedp.Void](`for (const d of document.querySelectorAll('details')) d.open = true; document.querySelector('#loop').click()`),
			chromedp.Click(chromedp.CSS("#toggle")))
		b.until(`document.querySelectorAll('.n.lit').length > 0`)
		accessible(b, scheme+" playing")
		b.picture(scheme + "-playing")
	}
}

// The lines under problems stay with the text when it is scrolled, made larger
// and typed into.
func TestUnderlinesStayInPlace(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(1280, 800))
	b.visit(link("tab", longTab()[:4000]+"\n4 44 o 5 some-words-that-are-so-long-that-they-wrap-within-the-field-in-which-they-stand-and-once-more 5"))
	b.until(`document.querySelectorAll('#marks mark').length > 0`)
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#tab').scrollTop = 1e6`))
	b.until(underlined + ` && document.querySelector('#tab').scrollTop > 500`)
	b.picture("underlined")
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#tab').style.height = '37rem'`))
	b.until(underlined)
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#tab').setSelectionRange(0, 0)`), chromedp.SendKeys(chromedp.CSS("#tab"), "4\n"))
	b.until(underlined)
}
