//go:build outside

package web_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/api/server"
	"reedlark/api/web"
)

// played waits until what plays has come to its end.
func (b *browser) played() {
	b.t.Helper()
	b.until(`heard.starts.length > 0 && document.querySelector('#toggle .word').textContent === 'Play'`)
}

const forgetStarts = `heard.starts.length = 0; heard.lit.length = 0; 0`

// Every play begins with the first note: what is left of a sound after its last
// beat is the end, not the beginning.
func TestEveryPlayBeginsWithTheFirstNote(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "Tempo: 240\n4 -4 5 -5 | 6 -6 -7 7 |"))
	b.until(read)
	for range 3 {
		b.do(chromedp.Evaluate[chromedp.Void](forgetStarts), chromedp.Click(chromedp.CSS("#toggle")))
		b.played()
		assert.Zero(t, eval[float64](b, `Number(document.querySelector('#seek').value)`))
		assert.Equal(t, "2:1", eval[string](b, `heard.lit[0].place`))
		assert.InDelta(t, eval[float64](b, `heard.starts.reduce((sum, s) => sum + s.length, 0)`), eval[float64](b, `decoded(document.querySelector('#download').href).then((s) => s.length / 48000)`), 0.001, "all of it is scheduled")
	}
}

// The count-in is heard before every start, also one in the middle: what is
// scheduled then is as much longer as a bar.
func TestCountInBeforeEveryStart(t *testing.T) {
	b := open(t)
	b.visit(link("tab", eight, "tempo", "240", "count_in", "1"))
	b.until(read)
	scheduled := `heard.starts.reduce((sum, s) => sum + s.length, 0)`
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#seek').value = 8`), chromedp.Click(chromedp.CSS("#toggle")))
	b.played()
	counted := eval[float64](b, scheduled)
	b.set("count_in", "")
	b.until(`!location.href.includes('none')`)
	b.do(chromedp.Sleep(settle), chromedp.Evaluate[chromedp.Void](forgetStarts),
		chromedp.Evaluate[chromedp.Void](`document.querySelector('#seek').value = 8`), chromedp.Click(chromedp.CSS("#toggle")))
	b.played()
	assert.InDelta(t, 4*60.0/240, counted-eval[float64](b, scheduled), 0.05)
	assert.Equal(t, "2:25", eval[string](b, `heard.lit[0].place`), "the ninth note is the first that is lit")
}

// Between two rounds there is the rest that was asked for, and with a count
// before every round the count as well.
func TestRestBetweenRounds(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "Metre: 2/4\n4 -4 | 5 -5 | 6 6 |", "tempo", "240", "count_in", "1"))
	b.until(read)
	b.practise()
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#loop-rest').value = 2`), chromedp.Click(chromedp.CSS("#loop")), chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.starts.length > 0`)
	round := `(({ loopStart, loopEnd }) => loopEnd - loopStart)(heard.starts.at(-1))`
	assert.InDelta(t, (6+2)*60.0/240, eval[float64](b, round), 0.03, "six beats and two of rest")
	assert.InDelta(t, (2+6+2)*60.0/240, eval[float64](b, `heard.starts[0].loopStart`), 0.03, "the first round is counted in")
	b.do(chromedp.Evaluate[chromedp.Void](forgetStarts), chromedp.Click(chromedp.CSS("#count-every")))
	b.until(`heard.starts.length > 0`)
	assert.InDelta(t, (2+6+2)*60.0/240, eval[float64](b, round), 0.03, "and every one")
}

// Keys act while the sheet, or nothing, has the focus, and on no field.
func TestKeysOfThePage(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(1280, 800))
	b.visit(link("tab", "4 -4 5 -5\n6 -6 -7 7", "tempo", "60"))
	b.until(read)
	b.do(chromedp.KeyEvent(" "))
	b.until(`document.querySelector('#toggle .word').textContent === 'Pause' && heard.lit.length > 1`)
	b.do(chromedp.KeyEvent(" "))
	b.until(`document.querySelector('#toggle .word').textContent === 'Play'`)
	assert.Greater(t, eval[float64](b, `Number(document.querySelector('#seek').value)`), 0.5, "a pause keeps the place")
	b.do(chromedp.KeyEvent(kb.Home))
	b.until(`document.querySelector('#seek').value === '0'`)
	b.do(chromedp.KeyEvent("l"))
	b.until(looped("4 -4 5 -5"))
	b.do(chromedp.KeyEvent("l"))
	b.until(`!document.querySelector('#loop').checked`)
	b.do(chromedp.KeyEvent("-"))
	b.until(`document.querySelector('#setting').textContent.includes('55 beats')`)
	b.do(chromedp.Focus(chromedp.CSS("#sheet .n")), chromedp.KeyEvent(kb.ArrowDown))
	assert.Equal(t, "6", eval[string](b, `document.activeElement.textContent`))
	b.do(chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent("l"))
	b.until(looped("6 -6 -7 7"))
	b.do(chromedp.KeyEvent("l"), chromedp.Focus(chromedp.CSS("#tab")), chromedp.KeyEvent(" "), chromedp.KeyEvent("l"), chromedp.KeyEvent("?"))
	b.do(chromedp.Sleep(settle))
	assert.False(t, eval[bool](b, `document.querySelector('#loop').checked || !!document.querySelector('dialog[open]')`), "in the text they are letters")
	b.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`), chromedp.KeyEvent("?"))
	b.until(`document.querySelector('#keys-help').open`)
	b.picture("keys")
}

// The row that sounds is in the upper third, the next one in view, and the note
// that sounds says so to those who do not see it.
func TestFollowing(t *testing.T) {
	b := open(t)
	b.media("", "prefers-reduced-motion", "reduce")
	for _, size := range [][2]int64{{360, 740}, {1366, 768}} {
		b.do(chromedp.EmulateViewport(size[0], size[1]))
		b.visit(link("tab", "4 -4 5 -5\nla la la la\n6 -6 -7 7\n\n4 -4 5 -5\n6 -6 -7 7\n4 -4 5 -5\n6 -6 -7 7\n4 -4 5 -5\n6 -6 -7 7\n", "tempo", "400"))
		b.until(read)
		b.do(chromedp.Evaluate[chromedp.Void](forgetStarts+`; window.tops = []; new MutationObserver(() => requestAnimationFrame(() => {
			const n = document.querySelector('.n.lit'); if (!n) return;
			tops.push({ top: n.getBoundingClientRect().top / innerHeight, current: n.getAttribute('aria-current'), next: document.querySelector('.n.next') ? 1 : 0 });
		})).observe(document.querySelector('#sheet'), { subtree: true, attributes: true, attributeFilter: ['class'] })`),
			chromedp.Click(chromedp.CSS("#toggle")))
		b.played()
		type seen struct {
			Worst   float64
			Current bool
			Next    int
		}
		got := eval[seen](b, `({ Worst: Math.max(...tops.map((t) => t.top)), Current: tops.every((t) => t.current === 'true'), Next: Math.max(...tops.map((t) => t.next)) })`)
		assert.Less(t, got.Worst, 1.0/3, "%v", size)
		assert.True(t, got.Current)
		assert.Equal(t, 1, got.Next)
	}
}

// What cannot be read leaves nothing of the tab before: no heading, sheet,
// picture or link; and what can be read again is all there.
func TestUnreadLeavesNothingBehind(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(1280, 900))
	b.visit(link("tab", "Title: Before\n4 -4 5"))
	b.until(read)
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#as-picture').click()`))
	b.until(`document.querySelectorAll('#picture .note').length === 3`)
	b.set("tab", "Title: After\nno note at all")
	b.until(`document.querySelector('.problem.error') && document.querySelectorAll('#sheet .typed').length === 2`)
	left := eval[[]string](b, `[...document.querySelectorAll('main :is(h1, #setting, #sheet .n, #picture svg, #codes:not([hidden]), a[href*="z="])')].map((e) => e.outerHTML).filter((h) => /Before|svg|z=|Harp in/.test(h))`)
	assert.Empty(t, left)
	assert.NotContains(t, eval[string](b, `document.title`), "Before")
	assert.Contains(t, eval[string](b, `document.querySelector('#sheet').textContent`), "no note at all", "it is shown as typed")
	b.set("tab", "Title: Again\n4 4")
	b.until(`document.querySelector('h1').textContent === 'Again' && document.querySelectorAll('#sheet .n').length === 2 && !document.querySelector('#codes').hidden`)
}

// A tab that is opened has nothing of the loop and the speed of the one before,
// and a tab from a link never takes the place of a kept one.
func TestTabsAreKept(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(1280, 900))
	b.visit("/")
	b.until(read)
	b.set("tab", "Title: Mine\n4 -4 5 -5\n6 6")
	b.until(`document.querySelector('h1').textContent === 'Mine'`)
	b.do(chromedp.Click(chromedp.CSS("#loop-row")), chromedp.Click(chromedp.CSS("#slower")))
	b.until(looped("4 -4 5 -5") + ` && document.querySelector('#setting').textContent.includes('95')`)
	folder := t.TempDir()
	var files []string
	for name, text := range map[string]string{"a.txt": "Title: Other\n6 -6", "b.txt": "Title: Third\n7", "c.txt": "\x00\x01"} {
		files = append(files, filepath.Join(folder, name))
		require.NoError(t, os.WriteFile(files[len(files)-1], []byte(text), 0o600))
	}
	b.do(chromedp.SetUploadFiles(chromedp.CSS("#file"), files))
	b.until(`['Other', 'Third'].includes(document.querySelector('h1').textContent) && document.querySelector('#not-opened').textContent.includes('c.txt')`)
	assert.False(t, eval[bool](b, `document.querySelector('#loop').checked || !!document.querySelector('.n.looped') || location.href.includes('tempo')`))
	assert.Contains(t, eval[string](b, `document.querySelector('#speed').textContent`), "100 %")
	b.do(chromedp.Sleep(settle))

	b.visit(link("tab", "Title: From a link\n8 -8"))
	b.until(read)
	b.do(chromedp.Sleep(settle), chromedp.Click(chromedp.CSS("#mine")))
	titles := `[...document.querySelectorAll('.kept-list b')].map((e) => e.textContent).sort().join()`
	b.until(titles + ` === 'Mine,Other,Third'`)
	b.picture("kept")
	accessible(b, "kept tabs")
	b.do(chromedp.Evaluate[chromedp.Void](`const s = document.querySelector('#kept-search'); s.value = 'thir'; s.dispatchEvent(new Event('input'))`))
	b.until(titles + ` === 'Third'`)
	b.do(chromedp.Click(chromedp.CSS(".kept-list .delete")))
	b.until(`document.querySelectorAll('.kept-list b').length === 0`)
	b.do(chromedp.Click(chromedp.CSS("#kept .undo")))
	b.until(titles + ` === 'Third'`)
	b.do(chromedp.Click(chromedp.CSS(".kept-list .open")))
	b.until(`document.querySelector('h1').textContent === 'Third'`)
	b.do(chromedp.Sleep(settle))
	b.visit("/")
	b.until(`document.querySelector('h1').textContent === 'Third'`)
	b.do(chromedp.Click(chromedp.CSS("#mine")), chromedp.Click(chromedp.CSS(".forget")), chromedp.Click(chromedp.CSS(".forget")))
	b.until(`!document.querySelector('#kept').open`)
	b.visit("/")
	b.until(`document.querySelector('h1').textContent === 'Lantern on the Jetty'`)
	assert.Equal(t, 0, eval[int](b, `indexedDB.databases().then(async (all) => { let n = 0; for (const d of all) n += await new Promise((done) => { const r = indexedDB.open(d.name); r.onsuccess = () => { const q = r.result.transaction('tabs').objectStore('tabs').count(); q.onsuccess = () => done(q.result); }; }); return n; })`))
}

// A link to a row opens there and plays from there.
func TestLinkToARow(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "4 -4 5\n\n6 -6 -7\n8 -8 9", "tempo", "120") + "#L3")
	b.until(read + ` && document.querySelector('#seek').value === '3'`)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.lit.length > 0`)
	assert.Equal(t, "3:1", eval[string](b, `heard.lit[0].place`))
	assert.Equal(t, "#L4", eval[string](b, `document.querySelectorAll('.row .to')[2].getAttribute('href')`))
}

// The player is on the screen at every size and zoom, nothing scrolls sideways,
// and notes are large enough for a finger.
func TestPlayerStaysOnTheScreen(t *testing.T) {
	b := open(t)
	for _, size := range [][2]int64{{320, 640}, {360, 740}, {740, 360}, {768, 1024}, {1366, 768}, {341, 192}} { // the last is 1366 by 768 at 400 %
		b.do(chromedp.EmulateViewport(size[0], size[1]))
		b.visit("/")
		b.until(read)
		type view struct {
			Sideways float64
			Away     []string
			Small    []string
		}
		got := eval[view](b, `(() => {
			scrollTo(0, 300);
			const away = (e) => { const r = e.getBoundingClientRect(); return !e.checkVisibility() || r.top < 0 || r.bottom > innerHeight || r.left < 0 || r.right > innerWidth; };
			const must = innerHeight < 300 ? ['#toggle', '#seek', '#rest'] : ['#toggle', '#start', '#seek', '#slower', '#faster', '#speed', '#harp', '#loop-row', '#count_in', '#click', '#practise summary'];
			return {
				Sideways: document.documentElement.scrollWidth - innerWidth,
				Away: must.filter((s) => away(document.querySelector(s))),
				Small: [...document.querySelectorAll('#sheet .n')].filter((n) => n.note.role !== 'grace').map((n) => n.closest('.cell').getBoundingClientRect()).filter((r) => r.width < 24 || r.height < 44).map((r) => r.width + 'x' + r.height),
			};
		})()`)
		assert.LessOrEqual(t, got.Sideways, 0.0, "%v", size)
		assert.Empty(t, got.Away, "%v", size)
		assert.Empty(t, got.Small, "%v", size)
		b.picture("size" + safe(sizeName(size)))
	}
}

func sizeName(size [2]int64) string { return fmt.Sprint(size) }

// The large view has this note and the next in words.
func TestLargeView(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "-4 5 -3//", "tempo", "60"))
	b.until(read)
	b.do(chromedp.Click(chromedp.CSS("#as-large")), chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`document.querySelector('#large .now').textContent.includes('draw 4') && document.querySelector('#large .then').textContent === 'then blow 5'`)
	b.until(`document.querySelector('#large .then').textContent === 'then draw 3, bend 2'`)
	b.picture("large")
}

// Without a database of its own, as in some private windows, the page works.
func TestWithoutStorage(t *testing.T) {
	b := openAt(t, server.Config{})
	b.before(`IDBFactory.prototype.open = function () { throw new DOMException('denied', 'SecurityError'); };`)
	b.do(chromedp.EmulateViewport(1280, 900))
	b.visit("/")
	b.until(read)
	b.set("tab", "Title: Kept nowhere\n4 -4")
	b.until(`document.querySelector('h1').textContent === 'Kept nowhere'`)
	b.do(chromedp.Click(chromedp.CSS("#mine")))
	b.until(`document.querySelector('#kept').textContent.includes('keeps nothing')`)
	b.do(chromedp.KeyEvent(kb.Escape), chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.starts.length > 0`)
}

// With the engine in the page nothing but the page itself is asked of the server:
// no edit, speed, loop or place; and what sounds is what the server would send.
// It has to be built: go generate ./api/web.
func TestEngineAnswers(t *testing.T) {
	_, built := web.BuiltEngine(api.EngineVersion())
	require.True(t, built, "no engine: run %s", web.BuildCommand)
	b := open(t)
	b.mu.Lock()
	b.engine = true
	b.mu.Unlock()
	b.do(chromedp.EmulateViewport(1280, 900))
	b.visit(link("tab", "4 -4 5 -5"))
	b.until(read)
	require.Eventually(t, func() bool { return b.asked("/assets/engine-") > 0 }, polled, tick)
	require.Eventually(t, func() bool { // until an answer comes from it
		before := b.asked("/v1/")
		b.do(chromedp.Click(chromedp.CSS("#faster")), chromedp.Click(chromedp.CSS("#slower")), chromedp.Sleep(settle))
		return b.asked("/v1/") == before
	}, 2*polled, tick)
	before := b.asked("/v1/")
	b.set("tab", "Title: Engine\nTempo: 120\n6 -6 -7 7")
	b.until(`document.querySelector('h1').textContent === 'Engine' && document.querySelectorAll('#sheet .n').length === 4`)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.played()
	b.set("tab", "44")
	b.until(`document.querySelector('.problem.error') && true`)
	b.set("tab", "Title: Engine\nTempo: 120\n6 -6 -7 7")
	b.until(`!document.querySelector('#toggle').disabled && document.querySelector('#download').href.includes('z=')`)
	assert.Equal(t, before, b.asked("/v1/"))
	b.do(chromedp.Evaluate[chromedp.Void](`decoded(document.querySelector('#download').href).then((w) => { window.want = w.slice(w.findIndex((x) => x !== 0)); })`, chromedp.EvalAwaitPromise))
	assert.Less(t, eval[float64](b, `worst(recording(), want)`), 1.0/32768)
}
