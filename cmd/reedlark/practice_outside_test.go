//go:build outside

package main

import (
	"context"
	_ "embed"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

//go:embed testdata/loaded.js
var loaded string

// What another program unpacks, a browser plays from the folder it lies in, with
// no server and no script of the page's own.
func TestPracticeUnpackedAndPlayed(t *testing.T) {
	rootAt, err := filepath.Abs(root)
	require.NoError(t, err)
	folder(t, map[string]string{"spring.txt": chorded, "second.txt": "Title: 100% #1 & Co.\n" + good})
	got := call(t, "", "practice", "spring.txt", "second.txt", "-o", "set.zip", "--harp", "C,F#", "--rate=22050", "--title", "Gr\u00fc\u00dfe: 1")
	require.Equal(t, 0, got.code, got.err)
	for _, args := range [][]string{{"-t", "set.zip"}, {"-q", "set.zip"}} {
		cmd := exec.Command("unzip", args...)
		cmd.Env = append(os.Environ(), "LC_ALL=C.UTF-8")
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", out)
		if args[0] == "-t" {
			assert.Contains(t, string(out), "No errors detected")
		}
	}
	top, err := filepath.Abs("Gr\u00fc\u00dfe- 1")
	require.NoError(t, err)
	files := inZip(t, text(t, "set.zip"))
	const sounds = 2*4*2 + 2*4
	require.Len(t, files, 1+2+sounds)
	require.Len(t, tree(t, top), len(files))
	for name, want := range files {
		assert.True(t, want == text(t, filepath.Join(top, name)), name)
	}

	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath("chromium"), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	defer stop()
	ctx, stop = chromedp.NewContext(ctx)
	defer stop()
	ctx, stop = context.WithTimeout(ctx, time.Minute)
	defer stop()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate((&url.URL{Scheme: "file", Path: top + "/index.html"}).String())))
	lengths, err := chromedp.Run(ctx, chromedp.Evaluate[map[string]float64](loaded, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	require.Len(t, lengths, sounds)
	for path, seconds := range lengths {
		wav := files[path]
		require.NotEmpty(t, wav, "%s is the address of no sound", path)
		assert.InDelta(t, float64(len(wav)-44)/2/22050, seconds, 0.01, path)
	}
	played, err := chromedp.Run(ctx, chromedp.Evaluate[bool](
		`new Promise((yes, no) => { const a = document.querySelector('audio'); a.muted = true; a.ontimeupdate = () => a.currentTime > 0.2 && yes(true); a.play().catch(no); })`,
		chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	assert.True(t, played)
	axe := text(t, filepath.Join(rootAt, "api/web/testdata/axe/axe.min.js"))
	faults, err := chromedp.Run(ctx, chromedp.Evaluate[string](axe+`;axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] })
		.then((r) => r.passes.length + ' passed' + r.violations.map((v) => ', ' + v.help + ': ' + v.nodes.map((n) => n.target.join(' '))).join(''))`, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	assert.Regexp(t, `^[1-9]\d* passed$`, faults)
	links, err := chromedp.Run(ctx, chromedp.Evaluate[string](`[...document.links].map((a) => decodeURIComponent(a.getAttribute('href'))).join('\n')`))
	require.NoError(t, err)
	for _, link := range strings.Split(links, "\n") {
		assert.Contains(t, files, link)
	}
}
