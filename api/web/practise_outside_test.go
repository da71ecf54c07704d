//go:build outside

package web_test

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// eight is a tab whose notes all have places of their own, slow enough to change
// something while it plays.
const eight = "Metre: 4/4\n4 -4 5 -5 | 6 -6 -7 7 | 8 -8 9 -9 | 10 -10 1 -1"

// set gives a field a value as a person does.
func (b *browser) set(id, value string) {
	b.t.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](`(() => {
		const f = document.getElementById(` + quoted(id) + `);
		f.value = ` + quoted(value) + `;
		for (const kind of ['input', 'change']) f.dispatchEvent(new Event(kind, { bubbles: true }));
	})()`))
}

// inOrder says that the notes were lit in the order of the text, none again.
const inOrder = `(() => {
	const all = [...document.querySelectorAll('#sheet .n')].map((n) => n.note.line + ':' + n.note.column);
	const lit = heard.lit.map((l) => all.indexOf(l.place)).filter((x, i, l) => x !== l[i - 1]);
	return lit.every((x, i) => i === 0 || x > lit[i - 1]);
})()`

// A learner slows down, speeds up or takes another harp in the midst of a tune,
// and it goes on where it was.
func TestChangesKeepThePlace(t *testing.T) {
	b := open(t)
	b.visit(link("tab", eight, "tempo", "100"))
	b.until(read)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.lit.length >= 3`)
	b.set("tempo", "160")
	b.until(`document.querySelector('#setting').textContent.includes('160')`)
	b.until(`heard.lit.length >= 7`)
	b.set("harp", "G")
	b.until(`document.querySelector('#chart caption')?.textContent.startsWith('Harp in G')`)
	b.until(`document.querySelector('#toggle .word').textContent === 'Play'`)
	assert.True(t, eval[bool](b, inOrder), "%s", eval[string](b, `heard.lit.map((l) => l.place).join(' ')`))
	last := eval[string](b, `heard.lit.at(-1).place`)
	assert.Equal(t, "2:46", last)
	b.quiet()
}

// The ladder begins slow and each rung takes over from the one before at the end
// of a round, to the frame; the last is the tempo asked for.
func TestLadder(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "Metre: 2/4\n4 -4 | 5 -5 | 6 6 |", "tempo", "200"))
	b.until(read)
	b.practise()
	b.do(chromedp.Click(chromedp.CSS("#ladder")))
	assert.True(t, eval[bool](b, `document.querySelector('#loop').checked`), "the ladder turns the loop on")
	b.set("ladder-step", "20")
	b.set("ladder-rounds", "1")
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	for _, rung := range []string{"60 %: 120", "80 %: 160", "100 %: 200"} {
		b.until(`document.querySelector('#rung').textContent.startsWith(` + quoted(rung) + `)`)
	}
	type step struct{ Round, Off float64 }
	steps := eval[[]step](b, `heard.starts.filter((s) => s.loop).map((s, i, all) => {
		const Round = s.loopEnd - s.loopStart, before = all[i - 1];
		const first = before && (i === 1 ? before.loopStart - before.offset + (before.loopEnd - before.loopStart) * 0 : 0);
		const rounds = before && (s.when - before.when - first) / (before.loopEnd - before.loopStart);
		return { Round, Off: before ? Math.abs(rounds - Math.round(rounds)) : 0 };
	})`)
	require.Len(t, steps, 3)
	for i, tempo := range []float64{120, 160, 200} {
		assert.InDelta(t, 6*60/tempo, steps[i].Round, 1e-4, "six beats at %v", tempo)
		assert.InDelta(t, 0, steps[i].Off, 1e-3, "whole rounds before rung %d", i)
	}
	b.quiet()
}

// A stretch drawn over the picture is the loop, with the mouse and with a finger.
func TestLoopByDragging(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(800, 900))
	b.visit(link("tab", eight, "tempo", "100"))
	b.until(read)
	b.do(chromedp.Click(chromedp.CSS("#as-picture")))
	b.until(`document.querySelectorAll('#picture .note').length > 0`)
	from, to := b.barOf("0"), b.barOf("2")
	b.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, from.X, from.Y, chromedp.ButtonLeft),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, to.X-20, to.Y, chromedp.ButtonLeft),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, to.X, to.Y, chromedp.ButtonLeft),
		chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, to.X, to.Y, chromedp.ButtonLeft))
	b.until(looped("4 -4 5"))
	assert.Zero(t, eval[int](b, `heard.starts.length`), "no note was tapped")
	from, to = b.barOf("4"), b.barOf("5")
	b.touch(input.DispatchTouchEventTypeTouchStart, from)
	b.touch(input.DispatchTouchEventTypeTouchMove, place{from.X + 20, from.Y})
	b.touch(input.DispatchTouchEventTypeTouchMove, to)
	b.touch(input.DispatchTouchEventTypeTouchEnd)
	b.until(looped("6 -6"))
	b.picture("loop-dragged")
}

// Two taps of a finger on the text set the loop.
func TestLoopByTouch(t *testing.T) {
	b := open(t)
	b.do(chromedp.EmulateViewport(360, 740, chromedp.EmulateTouch, chromedp.EmulateMobile))
	b.visit(link("tab", eight, "tempo", "100"))
	b.until(read)
	b.set("tap", "loop")
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#practise').open = false`))
	b.tap(`document.querySelectorAll('#sheet .n')[1]`)
	b.tap(`document.querySelectorAll('#sheet .n')[3]`)
	b.until(looped("-4 5 -5"))
	b.tap(`document.querySelector('#toggle')`)
	b.until(`heard.starts.some((s) => s.loop)`)
	b.picture("phone-loop")
}

type place struct{ X, Y float64 }

// barOf is where a note stands on the picture, brought into view.
func (b *browser) barOf(index string) place {
	return eval[place](b, `(() => {
		const g = document.querySelector('#picture [data-index="`+index+`"]');
		g.scrollIntoView({ block: 'center' });
		const r = g.querySelector('path').getBoundingClientRect();
		return { X: r.x + r.width / 2, Y: r.y + r.height / 2 };
	})()`)
}

func (b *browser) touch(kind input.DispatchTouchEventType, at ...place) {
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		p := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
		for _, a := range at {
			p.TouchPoints = append(p.TouchPoints, &input.TouchPoint{X: a.X, Y: a.Y})
		}
		_, err := chromedp.Call(ctx, input.DispatchTouchEvent, p)
		return err
	}))
}

func (b *browser) tap(element string) {
	at := eval[place](b, `(() => {
		const e = `+element+`;
		e.scrollIntoView({ block: 'center' });
		const r = e.getBoundingClientRect();
		return { X: r.x + r.width / 2, Y: r.y + r.height / 2 };
	})()`)
	b.do(chromedp.TapXY(at.X, at.Y))
}

// looped says that the loop is on and goes round these notes.
func looped(notes string) string {
	return `document.querySelector('#loop').checked && [...document.querySelectorAll('.n.looped')].map((n) => n.textContent.replace('−', '-')).join(' ') === ` + quoted(notes)
}

// The chart lights what sounds, and lets every note be heard; also that of a
// harp whose layout is its owner's.
func TestChart(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "4 -4 -3/", "tempo", "60"))
	b.until(read)
	b.do(chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`document.querySelector('#chart .lit')?.textContent === 'D5'`)
	b.until(`document.querySelector('#chart .lit')?.textContent === 'Bb4'`)
	b.until(`document.querySelector('#toggle .word').textContent === 'Play'`)
	b.do(chromedp.Evaluate[chromedp.Void](`heard.starts.length = 0`), chromedp.Click(chromedp.CSS(`#chart button[aria-label="-2/, F#4"], #chart button[aria-label="-2/, Gb4"]`)))
	b.until(`document.querySelector('#chart .tapped') && heard.starts.length > 0`)
	b.until(`!document.querySelector('#chart .tapped')`)
	own := `{"tab":"4","layout":{"blow":["C4","E4","G4","C5","E5","G5","C6","E6","G6","C7"],"draw":["D4","G4","B4","D5","F#5","A5","B5","D6","F6","A6"]}}`
	b.visit("/?z=" + eval[string](b, `import('/assets/link.js').then((l) => l.pack(`+own+`))`))
	b.until(`document.querySelector('#chart button[aria-label^="-5,"]')?.textContent === 'F#5' || document.querySelector('#chart button[aria-label^="-5,"]')?.textContent === 'Gb5'`)
	b.quiet()
}

// The page goes along with the notes, but lets whoever scrolls away be where they
// want to be, until they are back.
func TestFollowingLetsGo(t *testing.T) {
	b := open(t)
	b.media("", "prefers-reduced-motion", "reduce") // which jumps at once
	b.do(chromedp.EmulateViewport(390, 700))
	b.visit(link("tab", eight, "tempo", "130"))
	b.until(read)
	b.do(chromedp.Evaluate[chromedp.Void](`scrollTo(0, 0)`), chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`scrollY > 0 && heard.lit.length > 1`)
	b.do(chromedp.Evaluate[chromedp.Void](`scrollTo({ top: 0, behavior: 'instant' }); window.litThen = heard.lit.length`))
	b.until(`heard.lit.length > litThen + 3`)
	assert.Zero(t, eval[float64](b, `scrollY`))
}

// What plays along is heard with the harp or alone, in two channels too, and
// goes round in a loop; a page of chords alone is a backing track.
func TestPlayingAlong(t *testing.T) {
	b := open(t)
	for _, tab := range []string{"Metre: 4/4\nchords: C | F\n4 -4 5 -5 | 6 5 4 4", "Metre: 4/4\nchords: C | F"} {
		b.visit(link("tab", tab, "tempo", "240", "backing", "chords", "mix", "split"))
		b.until(`!document.querySelector('#toggle').disabled && document.querySelector('#chart table') && true`)
		assert.Equal(t, "chords", eval[string](b, `document.querySelector('#backing').value`))
		b.do(chromedp.Click(chromedp.CSS("#toggle")))
		b.until(`heard.starts.length > 0 && heard.last.buffer.numberOfChannels === 2`)
		// Stop, unless a slow machine has come to the end of the two bars already.
		b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#toggle.on')?.click()`))
		b.practise()
		b.set("from-bar", "2")
		b.do(chromedp.Click(chromedp.CSS("#loop")), chromedp.Click(chromedp.CSS("#toggle")))
		b.until(`heard.last.loop`)
		assert.InDelta(t, 1, eval[float64](b, `heard.last.loopEnd - heard.last.loopStart`), 1e-3, "one bar of four beats")
		b.do(chromedp.Click(chromedp.CSS("#toggle")))
	}
	b.quiet()
}

// The marking can be switched off.
func TestSwitches(t *testing.T) {
	b := open(t)
	b.visit(link("tab", "4 -4 5", "tempo", "200"))
	b.until(read)
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#follow').click()`), chromedp.Click(chromedp.CSS("#toggle")))
	b.until(`heard.starts.length > 0`)
	b.until(`document.querySelector('#toggle .word').textContent === 'Play'`)
	assert.Zero(t, eval[int](b, `heard.lit.length + document.querySelectorAll('#picture .lit, #chart .lit').length`))
}

// A link to a part of a tab opens with that part as its loop.
func TestLinkToAPart(t *testing.T) {
	b := open(t)
	b.visit(link("tab", eight, "from", "4", "to", "6"))
	b.until(looped("6 -6"))
	b.visit(link("tab", "4 4 x2\n5 5\n6 6\n7 7", "from", "L2", "to", "L3"))
	b.until(looped("5 5 6 6"))
	b.reload()
	b.until(looped("5 5 6 6"))
	b.visit(link("tab", "4 4 x2\n5 5", "from", "L1", "to", "L1"))
	b.until(looped("4 4"))
	assert.Equal(t, "4", eval[string](b, `document.querySelector("#to-beat").value`), "to the end of the fourth beat, with the repeat")
}
