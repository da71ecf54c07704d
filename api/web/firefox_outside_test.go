//go:build outside

package web_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/server"
)

// firefox is Debian's Firefox, driven by its own remote protocol: JSON with its
// length before it. ref: Firefox source docs, "Marionette protocol".
type firefox struct {
	t    *testing.T
	conn net.Conn
	in   *bufio.Reader
	last int
	url  string // of our server
}

func openFirefox(t *testing.T) *firefox {
	t.Helper()
	s := httptest.NewServer(recorded(serverAlone(server.Handler(server.Config{Log: slog.New(slog.DiscardHandler)}))))
	t.Cleanup(s.Close)
	profile, port := t.TempDir(), freePort(t)
	prefs := fmt.Sprintf("user_pref('marionette.port', %d);\nuser_pref('media.autoplay.default', 0);\n"+
		"user_pref('app.update.enabled', false);\nuser_pref('datareporting.policy.dataSubmissionEnabled', false);\n"+
		"user_pref('network.captive-portal-service.enabled', false);\nuser_pref('network.connectivity-service.enabled', false);\n", port)
	require.NoError(t, os.WriteFile(filepath.Join(profile, "user.js"), []byte(prefs), 0o600))
	home := loudspeaker(t)
	cmd := exec.Command("firefox-esr", "--headless", "--marionette", "--no-remote", "--profile", profile)
	cmd.Env = append(os.Environ(), "HOME="+home, "XDG_RUNTIME_DIR="+home, "PULSE_SERVER=unix:"+filepath.Join(home, "sound"))
	var said bytes.Buffer
	cmd.Stderr = &said
	require.NoError(t, cmd.Start())
	f := &firefox{t: t, url: s.URL}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if t.Failed() {
			t.Logf("Firefox said: %s", said.String())
		}
	})
	require.Eventually(t, func() bool {
		var err error
		f.conn, err = net.Dial("tcp", "127.0.0.1:"+strconv.Itoa(port))
		return err == nil
	}, time.Minute, 200*time.Millisecond)
	require.NoError(t, f.conn.SetDeadline(time.Now().Add(2*time.Minute)))
	f.in = bufio.NewReader(f.conn)
	f.read() // its greeting
	f.call("WebDriver:NewSession", map[string]any{})
	return f
}

// serverAlone is a server that offers no engine.
func serverAlone(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/assets/engine.json" {
			w.WriteHeader(http.StatusNoContent)
			return
		}
		h.ServeHTTP(w, r)
	})
}

// loudspeaker starts a sound server that plays to nobody, without which Firefox
// has no clock for sound on a machine that has no sound card. It is found below
// the folder that is answered.
func loudspeaker(t *testing.T) string {
	t.Helper()
	home := t.TempDir()
	socket := filepath.Join(home, "sound")
	cmd := exec.Command("pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1",
		"-L", "module-null-sink rate=48000", "-L", "module-native-protocol-unix auth-anonymous=1 socket="+socket)
	cmd.Env = append(os.Environ(), "HOME="+home, "XDG_RUNTIME_DIR="+home)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	require.Eventually(t, func() bool {
		_, err := os.Stat(socket)
		return err == nil
	}, 20*time.Second, 100*time.Millisecond)
	return home
}

func freePort(t *testing.T) int {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	port := l.Addr().(*net.TCPAddr).Port
	require.NoError(t, l.Close())
	return port
}

func (f *firefox) read() []byte {
	f.t.Helper()
	size, err := f.in.ReadString(':')
	require.NoError(f.t, err)
	n, err := strconv.Atoi(strings.TrimSuffix(size, ":"))
	require.NoError(f.t, err)
	text := make([]byte, n)
	_, err = io.ReadFull(f.in, text)
	require.NoError(f.t, err)
	return text
}

func (f *firefox) call(command string, parameters map[string]any) json.RawMessage {
	f.t.Helper()
	f.last++
	text, err := json.Marshal([]any{0, f.last, command, parameters})
	require.NoError(f.t, err)
	_, err = fmt.Fprintf(f.conn, "%d:%s", len(text), text)
	require.NoError(f.t, err)
	var answer [4]json.RawMessage
	require.NoError(f.t, json.Unmarshal(f.read(), &answer))
	require.Equal(f.t, "null", string(answer[2]), command)
	return answer[3]
}

// run runs the body of a function in the page and fills out with what it, or
// the promise it makes, returns.
func (f *firefox) run(body string, out any) {
	f.t.Helper()
	answer := f.call("WebDriver:ExecuteScript", map[string]any{"script": body, "args": []any{}, "sandbox": nil})
	var value struct{ Value json.RawMessage }
	require.NoError(f.t, json.Unmarshal(answer, &value))
	if out != nil {
		require.NoError(f.t, json.Unmarshal(value.Value, out), body)
	}
}

func (f *firefox) visit(path string) {
	f.t.Helper()
	f.call("WebDriver:Navigate", map[string]any{"url": f.url + path})
	f.run(recorder, nil)
}

func (f *firefox) until(expression string) {
	f.t.Helper()
	require.Eventually(f.t, func() bool {
		var yes bool
		f.run("return !!("+expression+")", &yes)
		return yes
	}, 20*time.Second, 100*time.Millisecond, expression)
}

// click clicks as a hand does, so that the browser lets sound out.
func (f *firefox) click(selector string) {
	f.t.Helper()
	var found struct{ Value map[string]string }
	require.NoError(f.t, json.Unmarshal(f.call("WebDriver:FindElement", map[string]any{"using": "css selector", "value": selector}), &found))
	for _, id := range found.Value {
		f.call("WebDriver:ElementClick", map[string]any{"id": id})
	}
}

// The same as in Chromium: what sounds is what the server sends.
func TestFirefoxPlays(t *testing.T) {
	f := openFirefox(t)
	f.visit(link("tab", "4 -4 5", "tempo", "200"))
	f.until(read)
	f.click("#toggle")
	f.run(`return decoded(document.querySelector('#download').href).then((w) => { window.want = w.slice(w.findIndex((x) => x !== 0)); })`, nil)
	f.until(`recording().length >= want.length`)
	var off float64
	f.run(`return worst(recording(), want)`, &off)
	assert.Less(t, off, 1.0/32768)
}

func TestFirefoxSeeksAndLoops(t *testing.T) {
	f := openFirefox(t)
	f.visit(link("tab", "Metre: 2/4\n4 -4 | 5 -5 | 6 6 |", "tempo", "240"))
	f.until(read)
	f.click("#toggle")
	f.until(`recording().length > 4800`)
	f.click("#toggle")
	f.run(`return new Promise((done) => setTimeout(done, 1500))`, nil)                                                                    // the sound is all here by then
	f.run(`heard.blocks = []; const s = document.querySelector('#seek'); s.value = 0.76 * 4; s.dispatchEvent(new Event('change'));`, nil) // beats
	f.click("#toggle")
	f.until(`recording().length > 4800`)
	var from float64
	f.run(`return decoded(document.querySelector('#download').href).then((want) => {
		const got = recording().slice(0, 2400);
		for (let at = 0.66 * 48000; at < 0.86 * 48000; at++) if (worst(got, want.slice(at, at + 2400)) < 1 / 32768) return at / 48000;
		return 9;
	})`, &from)
	assert.InDelta(t, 0.76, from, 0.05)
	f.click("#toggle")

	f.visit(link("tab", "Metre: 2/4\n4 -4 | 5 -5 | 6 6 |", "tempo", "240"))
	f.until(read)
	f.click("#practise summary")
	f.until(`document.querySelector('#to-bar').checkVisibility() && document.querySelector('#to-bar').value !== '0'`)
	f.run(`for (const [id, v] of [['from-bar', 2], ['to-bar', 2], ['to-beat', 2]]) document.getElementById(id).value = v;`, nil)
	f.click("#loop")
	f.click("#toggle")
	f.until(`recording().length > 48000 * 3`)
	var seam struct{ Length, Differ float64 }
	f.run(`const got = recording(), { loopStart, loopEnd } = heard.starts[0];
		const n = Math.round((loopEnd - loopStart) * 48000);
		let Differ = 0;
		for (let i = Math.round(loopStart * 48000) + 10; i + n < got.length - 48000; i++) Differ = Math.max(Differ, Math.abs(got[i] - got[i + n]));
		return { Length: n / 48000, Differ };`, &seam)
	assert.InDelta(t, 2*60.0/240, seam.Length, 0.0001)
	assert.Less(t, seam.Differ, 1.0/32768)
}

func TestFirefoxEmbed(t *testing.T) {
	f := openFirefox(t)
	f.call("WebDriver:Navigate", map[string]any{"url": lessons(t, f.url, "4 -4 5 -5 6", 1)})
	f.call("WebDriver:SwitchToFrame", map[string]any{"id": 0})
	f.run(`document.getElementById('audio').play(); return 1`, nil)
	f.until(`document.querySelector('.n.lit')`)
	var at float64
	f.run(`const a = document.getElementById('audio'); a.pause(); return new Promise((done) => { a.onseeked = () => done(a.currentTime); a.currentTime = 1.5; });`, &at)
	assert.InDelta(t, 1.5, at, 0.05)
}

// The lines under mistakes lie under them in Firefox too.
func TestFirefoxUnderlines(t *testing.T) {
	f := openFirefox(t)
	f.visit(link("tab", longTab()[:3000]+"\n4 44 5"))
	f.until(`document.querySelector('#marks mark.error') && document.querySelector('.problem.error')`)
	f.run(`document.querySelector('#tab').scrollTop = 1e6`, nil)
	f.until(underlined + ` && document.querySelector('#tab').scrollTop > 500`)
}
