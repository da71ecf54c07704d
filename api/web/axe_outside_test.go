//go:build outside

package web_test

import (
	"encoding/json"
	"regexp"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
)

// settle is how long a page is given to fetch and draw before it is judged.
const settle = 1500 * time.Millisecond

// accessible runs axe-core over the page as it stands.
func accessible(b *browser, state string) {
	b.t.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](axe + ";0"))
	type finding struct {
		ID    string `json:"id"`
		Help  string `json:"help"`
		Where string `json:"where"`
	}
	type result struct {
		Passed int       `json:"passed"`
		Found  []finding `json:"found"`
	}
	r := eval[result](b, `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }).then((r) => ({
		passed: r.passes.length,
		found: r.violations.flatMap((v) => v.nodes.map((n) => ({ id: v.id, help: v.help, where: n.target.join(' ') + ' ' + n.failureSummary }))),
	}))`)
	assert.NotZero(b.t, r.Passed)
	for _, f := range r.Found {
		assert.Fail(b.t, f.Help, "%s: %s at %s", state, f.ID, f.Where)
	}
}

var unsafe = regexp.MustCompile(`[^a-zA-Z0-9]+`)

// safe is a path as part of a file's name.
func safe(path string) string { return unsafe.ReplaceAllString(path, "-") }

func quoted(text string) string {
	out, err := json.Marshal(text)
	if err != nil {
		panic(err)
	}
	return string(out)
}
