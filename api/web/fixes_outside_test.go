//go:build outside

package web_test

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
)

// fixable are texts with what each change that is offered for one of their
// problems makes of them.
var fixable = []struct {
	code, text string
	fixed      []string
}{
	{"same-hole-twice", "4 44 5", []string{"4 4 4 5"}},
	{"same-hole-twice", "4 -44/ 5", []string{"4 -4/ -4/ 5"}},
	{"same-hole-twice", "B4 D44 B5", []string{"B4 D4 D4 B5"}},
	{"no-such-hole", "4 11 5", []string{"4 1 1 5"}},
	{"no-such-hole", "4 -109 5", []string{"4 -10 -9 5"}},
	{"descending-chord", "4 54 5", []string{"4 45 5", "4 5 4 5"}},
	{"descending-chord", "4 -54 5", []string{"4 -45 5", "4 -5 -4 5"}},
	{"two-readings", "4+5 6", []string{"45 6", "4 5 6"}},
	{"two-readings", "-4,5,6 6", []string{"-456 6", "-4 5 6 6"}},
	{"two-readings", "-4~5 6", []string{"-45~ 6", "-4~ 5 6"}},
	{"two-readings", "Position: 2\n4 6", []string{"text: Position: 2\n4 6"}},
	{"two-readings", "4,4 6", []string{"4 4 6"}},
	{"two-readings", "4--5 6", []string{"4- -5 6"}},
	{"two-readings", "45-6 6", []string{"45 -6 6", "45 6 6"}},
	{"mixed-marks", "4 -3/* 5", []string{"4 -3/ 5", "4 -3* 5"}},
	{"mixed-marks", "4 -3~/ 5", []string{"4 -3~ 5", "4 -3/ 5"}},
	{"mark-twice", "4 -3~~ 5", []string{"4 -3~ 5"}},
	{"shake-too-wide", "4 456~ 5", []string{"4 45~ 5"}},
	{"unknown-word", "4 -4 o 5", []string{"4 -4 5", "4 -4 (o) 5", "text: 4 -4 o 5"}},
	{"read-as-words", "4 -4 5\nam 4 5", []string{"4 -4 5\ntab: am 4 5"}},
	{"never-closed", "4 {5 6", []string{"4 {5 6 }"}},
	{"never-closed", "4 (5 6] 7", []string{"4 (5 6) 7"}},
	{"never-closed", "4 (5 6 7", []string{"4 (5 6 7 )"}},
	{"never-closed", "|: 4 5 | 6", []string{"|: 4 5 | 6 :|"}},
	{"never-opened", "4 5} 6", []string{"4 5 6"}},
	{"empty-bracket", "4 () 5", []string{"4 5"}},
	{"empty-brace", "4 { } 5", []string{"4 5"}},
	{"sign-before-bracket", "4 -{4 5} 6", []string{"4 {-4 -5} 6"}},
	{"repeat-count", "4 5 x40", []string{"4 5 x16"}},
	{"repeat-from-here", "4 5 :|", []string{"|: 4 5 :|"}},
	{"times-inside", "4 x2 5", []string{"4 5 x2"}},
	{"slide-alone", "4\nr -> r", []string{"4\nr r"}},
	{"slide-twice", "4 -> -> 5", []string{"4 -> 5"}},
	{"grace-held", "(4-)5 6", []string{"(4)5 6"}},
	{"count-twice", "4 5\ncount: 1 2\ncount: 1 2", []string{"4 5\ncount: 1 2\n"}},
	{"lone-metre", "3/4\n4 5 6", []string{"Metre: 3/4\n4 5 6"}},
	{"metre-guessed", "4 5 6\ncount: 1 2 1", []string{"Metre: 4/4\n4 5 6\ncount: 1 2 1"}},
	{"header-late", "4 5\nTempo: 90\n6", []string{"Tempo: 90\n4 5\n6"}},
	{"header-twice", "Tempo: 90\nTempo: 80\n4", []string{"Tempo: 90\n4"}},
	{"header-range", "Tempo: 9000\n4", []string{"Tempo: 100\n4"}},
	{"header-unread", "Tempo: fast\n4", []string{"Tempo: 100\n4"}},
	{"header-empty", "Title:\n4", []string{"4"}},
	{"key-as-harp", "Key: G\n4", []string{"Harp: G\n4"}},
	{"numbering", "1. 4 5\n2. 6 7", []string{"4 5\n2. 6 7", "tab: 1. 4 5\n2. 6 7"}},
	{"lower-case-b", "4b 5", []string{"B4 5", "4/ 5"}},
	{"bare-number", "B4 D4 5 D6", []string{"B4 D4 B5 D6", "B4 D4 D5 D6"}},
	{"bare-number", "4↑ 4↓ 5 6↓", []string{"4↑ 4↓ 5↑ 6↓", "4↑ 4↓ 5↓ 6↓"}},
	{"hold-or-draw", "4\n- 5 6", []string{"4\n-5 6"}},
	{"repeats-nothing", "4 5\nla la x2", []string{"4 5\nla la "}},
	{"control-character", "4 -4 5\x01 6 7", []string{"4 -4 5 6 7"}},
	{"over-none", "4 7* 5", []string{"4 -7* 5"}},
}

// Every change that is offered makes what it says, and what it was offered for
// is gone after it.
func TestFixes(t *testing.T) {
	b := open(t)
	b.visit("/")
	b.do(chromedp.Evaluate[chromedp.Void](`Promise.all([import('/assets/fixes.js'), import('/assets/link.js')]).then(([f]) => {
		const said = async (tab) => (await (await fetch('/v1/score', { method: 'POST', body: JSON.stringify({ tab }), headers: { 'Content-Type': 'application/json' } })).json()).diagnostics;
		const apply = (text, { from, to, instead }) => text.slice(0, from) + instead + text.slice(to);
		window.fixed = async (code, text) => {
			const d = (await said(text)).find((d) => d.code === code);
			if (!d) return { Said: (await said(text)).map((d) => d.code) };
			const Fixed = f.fixesOf(text, d).map((fix) => apply(text, fix)), left = [];
			for (const after of Fixed) left.push(...(await said(after)).filter((e) => e.code === code && e.line === d.line));
			return { Found: true, Fixed, Left: left.map((l) => l.message + ' ' + l.hint) };
		};
	})`, chromedp.EvalAwaitPromise))
	type result struct {
		Found             bool
		Said, Fixed, Left []string
	}
	for _, f := range fixable {
		r := eval[result](b, `fixed(`+quoted(f.code)+`, `+quoted(f.text)+`)`)
		assert.True(t, r.Found, "%s in %q: it has %v", f.code, f.text, r.Said)
		assert.Equal(t, f.fixed, r.Fixed, "%s in %q", f.code, f.text)
		assert.Empty(t, r.Left, "%s in %q", f.code, f.text)
	}
}
