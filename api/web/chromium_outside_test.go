//go:build outside

package web_test

import (
	"context"
	_ "embed"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"reedlark/api/server"
)

//go:embed testdata/recorder.js
var recorder string

//go:embed testdata/recorder-worklet.js
var recorderWorklet string

//go:embed testdata/axe/axe.min.js
var axe string

// browser is Debian's Chromium at one page of a server of ours.
type browser struct {
	t   *testing.T
	ctx context.Context
	url string // of the server

	mu       sync.Mutex
	requests []string // of the page, as the browser tells
	served   []string // of everything in it, as the server tells
	messages []string
	engine   bool // the engine is offered; else the server answers everything
	busy     int  // how many calls for sounds and scores are still to be told to come back
}

// serve starts a server that ends with the test, and notes what it is asked.
func (b *browser) serve(cfg server.Config) {
	cfg.Log = slog.New(slog.DiscardHandler)
	handler := recorded(server.Handler(cfg))
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		b.mu.Lock()
		b.served = append(b.served, r.URL.Path)
		none := r.URL.Path == "/assets/engine.json" && !b.engine
		turnAway := b.busy > 0 && (r.URL.Path == "/v1/score" || r.URL.Path == "/v1/audio")
		if turnAway {
			b.busy--
		}
		b.mu.Unlock()
		if none {
			w.WriteHeader(http.StatusNoContent) // which no console tells of
			return
		}
		if turnAway {
			w.Header().Set("Retry-After", "2")
			http.Error(w, "busy", http.StatusServiceUnavailable)
			return
		}
		handler.ServeHTTP(w, r)
	}))
	b.t.Cleanup(s.Close)
	b.url = s.URL
}

// recorded is a server that has the recorder's worklet beside its own, since the
// policy of the pages lets in nothing from elsewhere.
func recorded(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/recorder-worklet.js" {
			h.ServeHTTP(w, r)
			return
		}
		w.Header().Set("Content-Type", "text/javascript")
		_, _ = io.WriteString(w, recorderWorklet)
	})
}

// open starts a browser that ends with the test. The flags keep it from asking
// for anything outside the machine.
func open(t *testing.T) *browser {
	t.Helper()
	return openAt(t, server.Config{})
}

// openAt starts one at a server that is not as usual.
func openAt(t *testing.T, cfg server.Config) *browser {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath("chromium"), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	ctx, stop = context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(stop)
	b := &browser{t: t, ctx: ctx}
	b.serve(cfg)
	require.NoError(t, chromedp.Listen(ctx, b.note))
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{})
		return err
	}))
	b.before(recorder)
	go b.console()
	return b
}

func (b *browser) note(ev any) {
	if e, is := ev.(*network.EventRequestWillBeSent); is {
		b.mu.Lock()
		defer b.mu.Unlock()
		b.requests = append(b.requests, e.Request.URL)
	}
}

func (b *browser) console() {
	for m, err := range chromedp.Console(b.ctx) {
		if err != nil {
			return
		}
		b.mu.Lock()
		b.messages = append(b.messages, fmt.Sprint(m))
		b.mu.Unlock()
	}
}

// quiet says that the page wrote nothing to the console and asked nobody else.
func (b *browser) quiet() {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	require.Empty(b.t, b.messages)
	require.NotEmpty(b.t, b.requests)
	for _, r := range b.requests {
		ours := strings.HasPrefix(r, b.url) || strings.HasPrefix(r, "data:") || strings.HasPrefix(r, "blob:")
		require.True(b.t, ours, "a request to %s", r)
	}
}

// asked counts what the server was asked for below a path.
func (b *browser) asked(path string) (n int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, r := range b.served {
		if strings.HasPrefix(r, path) {
			n++
		}
	}
	return n
}

func (b *browser) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b.ctx, steps...))
}

// before runs a script in every document before its own.
func (b *browser) before(script string) {
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}))
}

// turnAway makes the server busy for so many calls.
func (b *browser) turnAway(calls int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.busy = calls
}

// media makes the browser one with these preferences, or a printer.
func (b *browser) media(kind string, features ...string) {
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		p := emulation.SetEmulatedMediaParams{Media: kind}
		for i := 0; i+1 < len(features); i += 2 {
			p.Features = append(p.Features, &emulation.MediaFeature{Name: features[i], Value: features[i+1]})
		}
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, p)
		return err
	}))
}

// visit goes to an address of the server and waits until the page is ready.
func (b *browser) visit(path string) {
	b.t.Helper()
	b.leave(chromedp.Navigate(b.url + path))
}

// reload loads the page anew and waits until it is another.
func (b *browser) reload() {
	b.t.Helper()
	b.leave(chromedp.Reload())
}

// leave does what leads to another page and waits until that is there.
func (b *browser) leave(step chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](`window.before = true`), step)
	require.Eventually(b.t, func() bool {
		another, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](`!window.before && document.readyState === 'complete'`))
		return err == nil && another // between two documents there is none to ask
	}, polled, tick)
}

// until waits until an expression is true.
func (b *browser) until(expression string) {
	b.t.Helper()
	_, err := chromedp.Run(b.ctx, chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(20*time.Second)))
	require.NoError(b.t, err, expression)
}

// eval is what an expression, or the promise it makes, comes to.
func eval[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(b.t, err, expression)
	return v
}

// picture saves what is seen, where the environment asks for it, for a person
// to look at.
func (b *browser) picture(name string) {
	folder := os.Getenv("REEDLARK_SCREENSHOTS")
	if folder == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err != nil { // too long a page for one picture
		png, err = chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	}
	require.NoError(b.t, err)
	require.NoError(b.t, os.WriteFile(filepath.Join(folder, name+".png"), png, 0o644))
}

// link is the address of a page with a tab.
func link(parameters ...string) string {
	return "/?" + query(parameters...)
}

// polled is how long something may take on a slow machine before it is taken for
// not happening; it is asked for every tick.
const (
	polled = 20 * time.Second
	tick   = 100 * time.Millisecond
)

// paper prints the page, where the environment asks for pictures.
func (b *browser) paper(name string) {
	folder := os.Getenv("REEDLARK_SCREENSHOTS")
	if folder == "" {
		return
	}
	b.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		out, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{})
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(folder, name+".pdf"), out.Data, 0o644)
	}))
}
