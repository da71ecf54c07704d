package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"io"
	"log/slog"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/api/server"
	"reedlark/cmd/reedlark/batch"
)

var update = flag.Bool("update", false, "write the goldens anew")

// result is how a call of the program ended.
type result struct {
	code     int
	out, err string
}

func call(t *testing.T, stdin string, args ...string) result {
	t.Helper()
	var out, err bytes.Buffer
	code := run(t.Context(), args, strings.NewReader(stdin), &out, &err)
	return result{code, out.String(), err.String()}
}

// folder is a folder of pages, named and written; the test runs in it.
func folder(t *testing.T, pages map[string]string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for name, text := range pages {
		require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
		require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	}
}

// names lists a folder, hidden files too.
func names(t *testing.T, folder string) (out []string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

const (
	good     = "4 -4 5 -5 6-\n"
	doubtful = "9 to 5\n4 -4 5\n" // a line of words with notes in it
	bad      = "4 -4 Q 5\n"
)

func TestExitCodes(t *testing.T) {
	pages := map[string]string{"good.txt": good, "doubtful.txt": doubtful, "bad.txt": bad, "latin.txt": "caf\xe9\n4 5\n", "mixed.txt": "caf\u00e9\n4 \xe9 5\n"}
	cases := []struct {
		args string
		code int
		says string // on standard error
	}{
		{"render good.txt", 0, "wrote good.wav"},
		{"render bad.txt", 1, `bad.txt:1:6: error`},
		{"render doubtful.txt", 0, "doubtful.txt:1:3: warning"},
		{"render doubtful.txt --strict", 1, "doubtful.txt:1:3: warning"},
		{"render latin.txt", 0, "latin.txt: this is not UTF-8; it is read as Windows-1252"},
		{"render mixed.txt", 1, "mixed.txt:2:3: error: A byte here is no character of UTF-8 text."},
		{"score mixed.txt", 1, "mixed.txt:2:3: error: A byte here"},
		{"rewrite mixed.txt", 1, "mixed.txt:2:3: error: A byte here"},
		{"check mixed.txt", 1, ""},
		{"render none.txt", 2, "none.txt: there is no such file"},
		{"render good.txt none.txt bad.txt", 2, "wrote good.wav"},
		{"render", 2, `expected "<file> ..."`},
		{"render good.txt --tempo fast", 2, `tempo is "fast"`},
		{"render good.txt --tempo 1e999", 2, "tempo"},
		{"render good.txt --tempo NaN", 2, "20 to 400"},
		{"render good.txt --tempi 90", 2, "--tempo"},
		{"render good.txt --loudness -20", 0, "wrote"},
		{"render good.txt --loudness -40", 2, "-30 to -12"},
		{"render good.txt --click=maybe", 2, "click"},
		{"render good.txt --tempo=", 2, `tempo is ""`},
		{"render good.txt --harp=", 2, `harp is ""`},
		{"render good.txt -o", 2, "--out: missing value"},
		{"render good.txt --room", 2, "--room: missing value"},
		{"render good.txt --over good.wav --at", 2, "--at: missing value"},
		{"render good.txt --count-in 9", 2, `count-in is "9"`},
		{"render good.txt --from L7", 2, "good.txt: it would play with another --from, which must be a beat from 0 on"},
		{"render good.txt --from 2 --to 2", 2, "it would play with another --to"},
		{"render good.txt doubtful.txt --to L1", 2, "doubtful.txt: it would play with another --to"},
		{"render bad.txt --from L7", 1, "bad.txt:1:6: error"},
		{"render good.txt -o nowhere/tune.wav", 3, "nowhere/tune.wav: no such file or directory"},
		{"render good.txt doubtful.txt -o one.wav", 2, "2 sounds do not fit into one.wav"},
		{"render good.txt -o good.txt", 2, "overwrite the page"},
		{"render good.txt --picture good.txt", 2, "overwrite the page"},
		{"render good.txt -o doubtful.txt", 2, "doubtful.txt is the name of a page of tab"},
		{"render good.txt -o tune.MP3", 2, "name it tune.wav or tune.flac"},
		{"render good.txt --picture ./good.wav", 2, "the sound and the picture would both become good.wav"},
		{"render good.txt --json -o -", 2, "both write to standard output"},
		{"render good.txt --json --picture -", 2, "both write to standard output"},
		{"render - -", 2, "<stdin> and <stdin> would both become -"},
		{"render good.txt ./good.txt", 2, "good.txt and ./good.txt would both become ./good.wav"},
		{"render good.txt --stems -", 2, "--stems names a folder"},
		{"render good.txt --at 0", 2, "go with --over"},
		{"render good.txt --over=", 2, "go with --over"},
		{"render good.txt doubtful.txt --picture one.svg", 2, "2 pages do not fit into one picture"},
		{"check good.txt", 0, ""},
		{"check bad.txt", 1, ""},
		{"check doubtful.txt", 0, ""},
		{"check doubtful.txt --strict", 1, ""},
		{"check .", 1, "latin.txt"},
		{"check good.txt --from 9", 2, "it would play with another --from"},
		{"check good.txt --json --sarif -", 2, "both write to standard output"},
		{"check good.txt --sarif nowhere/out.sarif", 3, "no such file or directory"},
		{"score good.txt", 0, ""},
		{"score good.txt --for-c --midi good.mid", 2, "--for-c is about sheet music"},
		{"score good.txt --for-c --format musicxml", 0, ""},
		{"score good.txt --midi x --musicxml ./x", 2, "two files would both become"},
		{"score bad.txt", 1, "bad.txt:1:6: error"},
		{"score .", 2, ".: this is a folder, not a page of tab"},
		{"rewrite good.txt --to-convention arrows", 0, ""},
		{"rewrite good.txt --to-convention runes", 2, "signs, letters, arrows"},
		{"rewrite good.txt -o nowhere/new.txt", 3, "nowhere/new.txt: no such file or directory"},
		{"rewrite good.txt -o new/", 0, ""},
		{"harp Bb", 0, ""},
		{"harp low F", 0, ""},
		{"harp C D", 2, `no harp "C D"`},
		{"harp H", 2, `"H"`},
		{"harp C --layout piano", 2, "richter"},
		{"health --listen 127.0.0.1:1", 3, "refused"},
		{"serve --listen 8080", 2, "host:port"},
		{"--help", 0, ""},
		{"", 2, "Usage: reedlark"},
		{"play good.txt", 2, "unexpected argument play"},
	}
	for _, c := range cases {
		t.Run(c.args, func(t *testing.T) {
			folder(t, pages)
			got := call(t, "", strings.Fields(c.args)...)
			assert.Equal(t, c.code, got.code, got.err)
			assert.Contains(t, got.err, c.says)
			assert.Equal(t, c.says == "", got.err == "", got.err)
		})
	}
}

// One path: the command line, the door and HTTP answer with the same bytes.
func TestSameBytes(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good})
	settings := []struct{ name, value string }{
		{"harp", "low F"}, {"tempo", "90"}, {"depth", "24"}, {"count_in", "1"}, {"click", "true"}, {"room", "0"},
	}
	args, query := []string{"tune.txt"}, url.Values{"tab": {good}}
	req := api.Defaults()
	require.NoError(t, req.Set("tab", good))
	for _, s := range settings {
		args = append(args, "--"+strings.ReplaceAll(s.name, "_", "-")+"="+s.value)
		query.Set(s.name, s.value)
		require.NoError(t, req.Set(s.name, s.value))
	}
	web := func(resource string) string {
		w := httptest.NewRecorder()
		server.Handler(server.Config{Log: slog.New(slog.DiscardHandler)}).ServeHTTP(w, httptest.NewRequest("GET", resource+"?"+query.Encode(), nil))
		require.Equal(t, 200, w.Code, w.Body)
		return w.Body.String()
	}
	piece, err := api.Open(t.Context(), req)
	require.NoError(t, err)

	sound, err := piece.Sound(t.Context())
	require.NoError(t, err)
	var door bytes.Buffer
	require.NoError(t, sound.WriteTo(t.Context(), &door))
	require.Greater(t, door.Len(), 48000)
	piped := call(t, "", append([]string{"render", "-o", "-"}, args...)...)
	require.Zero(t, piped.code, piped.err)
	require.Zero(t, call(t, "", append([]string{"render"}, args...)...).code)
	file, err := os.ReadFile("tune.wav")
	require.NoError(t, err)
	for name, got := range map[string]string{"pipe": piped.out, "file": string(file), "web": web("/v1/audio")} {
		assert.True(t, got == door.String(), "the bytes of the %s differ", name)
	}

	score, err := piece.Score(t.Context())
	require.NoError(t, err)
	text, err := api.JSON(score)
	require.NoError(t, err)
	assert.Equal(t, string(text), call(t, "", append([]string{"score"}, args...)...).out)
	assert.Equal(t, string(text), web("/v1/score"))

	require.Zero(t, call(t, "", append([]string{"render", "--picture", "tune.svg"}, args...)...).code)
	drawn, err := os.ReadFile("tune.svg")
	require.NoError(t, err)
	picture, err := piece.Picture(t.Context())
	require.NoError(t, err)
	assert.Equal(t, string(picture), string(drawn))
	assert.Equal(t, string(picture), web("/v1/picture"))

	rewritten, err := piece.Rewritten(t.Context())
	require.NoError(t, err)
	assert.Equal(t, rewritten, call(t, "", append([]string{"rewrite"}, args...)...).out)
	assert.Equal(t, rewritten, web("/v1/tab"))
}

func TestHelpByItsName(t *testing.T) {
	for name, args := range map[string][]string{"help": {"--help"}, "help render": {"render", "--help"}} {
		got := call(t, "", strings.Fields(name)...)
		assert.Equal(t, call(t, "", args...), got, name)
		assert.Zero(t, got.code)
		assert.Contains(t, got.out, "Usage: reedlark ")
	}
}

// Every parameter of the door but the tab is a flag, shown with its usual value, and
// no other setting is.
func TestEveryParameterIsAFlag(t *testing.T) {
	help := call(t, "", "render", "--help").out
	_, help, found := strings.Cut(help, "Settings\n")
	require.True(t, found)
	help, _, found = strings.Cut(help, "\nOver a recording\n")
	require.True(t, found)
	for _, p := range api.Parameters() {
		flag := "--" + strings.ReplaceAll(p.Name, "_", "-")
		assert.Equal(t, p.Name != "tab", strings.Contains(help, "  "+flag), flag)
		if usual := p.Default; usual != "" && !p.Flag {
			assert.Contains(t, help, flag+"="+usual+" ")
		}
	}
	assert.Equal(t, len(api.Parameters())-1, strings.Count("\n"+help, "\n  --"))
}

func TestStandardInput(t *testing.T) {
	folder(t, nil)
	got := call(t, good, "render", "-")
	assert.Equal(t, 0, got.code, got.err)
	assert.Equal(t, "RIFF", got.out[:4])
	assert.Empty(t, got.err)
	assert.Empty(t, names(t, "."))
	got = call(t, bad, "check", "-")
	assert.Equal(t, 1, got.code)
	assert.Contains(t, got.out, "<stdin>:1:6: error: ")
}

func TestRewriteInPlace(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good})
	require.NoError(t, os.Chmod("tune.txt", 0o640))
	require.NoError(t, os.Symlink("tune.txt", "link.txt"))
	got := call(t, "", "rewrite", "link.txt", "-o", "link.txt", "--to-convention", "letters")
	require.Equal(t, 0, got.code, got.err)
	text, err := os.ReadFile("tune.txt")
	require.NoError(t, err)
	assert.Equal(t, "B4 D4 B5 D5 B6-\n", string(text))
	info, err := os.Lstat("tune.txt")
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode(), "its mode stays, and it is no link")
	assert.Equal(t, []string{batch.BackupName, "link.txt", "tune.txt"}, names(t, "."), "what it was is kept")
}

// broken takes room bytes and then fails with err.
type broken struct {
	room int
	err  error
}

func (b *broken) Write(p []byte) (int, error) {
	if len(p) > b.room {
		return b.room, b.err
	}
	b.room -= len(p)
	return len(p), nil
}

func TestBrokenStandardOutputIsTold(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good, "bad.txt": bad})
	calls := []string{"render tune.txt -o -", "check bad.txt", "check bad.txt --json", "score tune.txt", "rewrite tune.txt", "harp C", "--help"}
	for _, err := range []error{syscall.EPIPE, syscall.ENOSPC} {
		for _, args := range calls {
			var said bytes.Buffer
			code := run(t.Context(), strings.Fields(args), nil, &broken{10, err}, &said)
			assert.Equal(t, 3, code, args)
			assert.Equal(t, 1, strings.Count(said.String(), err.Error()), "%s: %s", args, &said)
		}
	}
}

func TestNeverHalfAFile(t *testing.T) {
	full := errors.New("no space left on device")
	failures := map[string]func(io.Writer) error{
		"the source fails": func(w io.Writer) error {
			_, err := w.Write(make([]byte, 1<<20))
			return errors.Join(err, full)
		},
		"a panic": func(w io.Writer) error {
			_, _ = w.Write(make([]byte, 1<<20))
			panic(full)
		},
	}
	for name, fill := range failures {
		for _, before := range []string{"", "what was there"} {
			t.Run(name, func(t *testing.T) {
				folder(t, nil)
				if before != "" {
					require.NoError(t, os.WriteFile("tune.wav", []byte(before), 0o644))
				}
				func() {
					defer func() { _ = recover() }()
					assert.ErrorIs(t, batch.WriteFile(t.Context(), "tune.wav", fill), full)
				}()
				if before == "" {
					assert.Empty(t, names(t, "."))
					return
				}
				text, err := os.ReadFile("tune.wav")
				require.NoError(t, err)
				assert.Equal(t, before, string(text))
				assert.Equal(t, []string{"tune.wav"}, names(t, "."))
			})
		}
	}
}

func TestInterrupted(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good, "two.txt": good})
	ctx, stop := context.WithCancel(t.Context())
	stop()
	var out, said bytes.Buffer
	assert.Equal(t, 3, run(ctx, []string{"render", "tune.txt", "two.txt"}, nil, &out, &said))
	assert.Contains(t, said.String(), "interrupted")
	assert.NotContains(t, said.String(), "two.wav")
	assert.Equal(t, []string{"tune.txt", "two.txt"}, names(t, "."))

	waiting, _ := io.Pipe() // standard input that never comes
	assert.Equal(t, 3, run(ctx, []string{"check", "-"}, waiting, &out, &said))
}

// A pipe or a device is written to, never replaced.
func TestPipesStay(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good})
	require.NoError(t, syscall.Mkfifo("pipe", 0o600))
	read := make(chan []byte)
	go func() {
		bytes, err := os.ReadFile("pipe")
		assert.NoError(t, err)
		read <- bytes
	}()
	got := call(t, "", "render", "tune.txt", "-o", "pipe")
	require.Equal(t, 0, got.code, got.err)
	info, err := os.Lstat("pipe")
	require.NoError(t, err)
	require.Equal(t, os.ModeNamedPipe, info.Mode().Type())
	assert.Equal(t, "RIFF", string((<-read)[:4]))
}

func TestServeUntilToldToStop(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	ready, said := io.Pipe()
	defer func() { require.NoError(t, said.Close()) }()
	code := make(chan int)
	go func() {
		code <- run(ctx, []string{"serve", "--listen", "127.0.0.1:0", "--drain", "0s"}, nil, io.Discard, said)
	}()
	line := make([]byte, 500)
	n, err := ready.Read(line)
	require.NoError(t, err)
	go func() { _, _ = io.Copy(io.Discard, ready) }()
	_, address, found := strings.Cut(strings.TrimSpace(string(line[:n])), "address=")
	require.True(t, found, string(line[:n]))

	got := call(t, "", "health", "--listen", address)
	assert.Equal(t, 0, got.code, got.err)
	stop()
	assert.Equal(t, 0, <-code)
	assert.Equal(t, 3, call(t, "", "health", "--listen", address).code)
}
