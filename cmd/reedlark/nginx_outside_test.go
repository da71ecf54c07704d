//go:build outside

package main

import (
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// freePorts are ports of loopback that nobody listens at.
func freePorts(t *testing.T, n int) (out []string) {
	t.Helper()
	for range n {
		ln, err := net.Listen("tcp", "127.0.0.1:0")
		require.NoError(t, err)
		_, port, err := net.SplitHostPort(ln.Addr().String())
		require.NoError(t, err)
		out = append(out, port)
		defer func() { _ = ln.Close() }() // all at once, so that no two are the same
	}
	return out
}

// behindNginx starts Debian's nginx, as nobody in particular, with the
// configuration that is shipped but for its ports, and says where it answers.
func behindNginx(t *testing.T, front, first, second string) string {
	t.Helper()
	text, err := os.ReadFile("deploy/nginx.conf")
	require.NoError(t, err)
	config := strings.NewReplacer(":8080", ":"+front, ":8081", ":"+first, ":8082", ":"+second).Replace(string(text))
	dir, err := os.MkdirTemp("", "nginx") // not the test's own folder, which others may not enter
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(dir)) })
	require.NoError(t, os.WriteFile(filepath.Join(dir, "nginx.conf"), []byte(config), 0o644))
	var said bytes.Buffer
	cmd := exec.Command("nginx", "-p", dir, "-c", filepath.Join(dir, "nginx.conf"), "-g", "daemon off;")
	cmd.Stderr = &said
	if os.Getuid() == 0 {
		const nobody = 65534
		require.NoError(t, os.Chown(dir, nobody, nobody))
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	}
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		require.NoError(t, cmd.Process.Signal(syscall.SIGQUIT))
		require.NoError(t, cmd.Wait(), said.String())
	})
	base := "http://127.0.0.1:" + front
	require.Eventually(t, func() bool { return (&service{base: base}).status("/healthz") == http.StatusOK }, 10*time.Second, 10*time.Millisecond, said.String())
	return base
}

// replica is a service at a port, which believes nginx who calls.
func replica(t *testing.T, port string) *service {
	t.Helper()
	s := serve(t, "--listen=127.0.0.1:"+port, "--proxy=127.0.0.1/32", "--drain=200ms", "--line=64")
	t.Cleanup(func() { _ = s.Process.Kill() }) // where the test has not stopped it
	return s
}

// fetched reads one answer.
func fetched(t *testing.T, url string, header ...string) (*http.Response, string) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, url, nil)
	require.NoError(t, err)
	for i := 0; i < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	return res, string(body)
}

// Two replicas answer with the same bytes, and nginx in front of them with
// theirs: from its cache what it may keep, whole or in part.
func TestTwoReplicasBehindNginx(t *testing.T) {
	ports := freePorts(t, 3)
	one, two := replica(t, ports[1]), replica(t, ports[2])
	front := behindNginx(t, ports[0], ports[1], ports[2])
	for _, path := range []string{"/v1/audio?tab=4+-4+5+-5+6---&harp=A", "/v1/audio?format=flac&tab=4+-4+5", "/v1/score?tab=4+-4+5", "/v1/picture?tab=4+-4+5"} {
		first, a := fetched(t, one.base+path)
		_, b := fetched(t, two.base+path)
		require.Equal(t, http.StatusOK, first.StatusCode)
		require.True(t, a == b, "two replicas answer differently: %s", path)
		for i := range 3 {
			res, c := fetched(t, front+path)
			require.True(t, a == c, path)
			require.Equal(t, first.Header.Get("ETag"), res.Header.Get("ETag"))
			require.Equal(t, i > 0, strings.Contains(strings.Join(res.Header.Values("Cache-Status"), ","), "nginx; hit"), "%s: %v", path, res.Header)
		}
		part, c := fetched(t, front+path, "Range", "bytes=10-29")
		require.Equal(t, http.StatusPartialContent, part.StatusCode)
		require.Equal(t, a[10:30], c)
		known, _ := fetched(t, front+path, "If-None-Match", first.Header.Get("ETag"))
		require.Equal(t, http.StatusNotModified, known.StatusCode)
	}
	player, embed := fetched(t, front+"/oembed?url="+url.QueryEscape(front+"/?tab=4"))
	require.Equal(t, http.StatusOK, player.StatusCode)
	require.Contains(t, embed, front+"/embed?z=", "the player is where callers find the service")
	bad, _ := fetched(t, front+"/v1/score?tab=Q")
	again, _ := fetched(t, front+"/v1/score?tab=Q")
	require.Equal(t, http.StatusUnprocessableEntity, again.StatusCode)
	require.NotEqual(t, bad.Header.Get("X-Request-Id"), again.Header.Get("X-Request-Id"), "errors are not kept")
}

// One replica after the other is told to stop, and starts anew, while clients
// call: none of them notices.
func TestRollingRestart(t *testing.T) {
	ports := freePorts(t, 3)
	replicas := []*service{replica(t, ports[1]), replica(t, ports[2])}
	front := behindNginx(t, ports[0], ports[1], ports[2])
	var clients sync.WaitGroup
	var answered atomic.Int64
	done := make(chan struct{})
	for i := range 16 {
		clients.Go(func() {
			for n := 0; ; n++ {
				select {
				case <-done:
					return
				default:
					assert.NoError(t, oneOf(front, i, n))
					answered.Add(1)
				}
			}
		})
	}
	for round := range 2 {
		for i, port := range ports[1:] {
			require.Eventually(t, func() bool { return answered.Swap(0) > 20 }, 30*time.Second, 200*time.Millisecond)
			require.NoError(t, replicas[i].Process.Signal(syscall.SIGTERM))
			require.Zero(t, replicas[i].exit(), "round %d", round)
			replicas[i] = replica(t, port)
			time.Sleep(2 * time.Second) // until nginx looks at it again, as its configuration says
		}
	}
	close(done)
	clients.Wait()
}

// oneOf is one call of a client, by turns of a new sound, a known one, and a
// posted one; an answer that is not whole is an error, but not the word of a slow
// machine that it has no room.
func oneOf(front string, client, n int) error {
	page := "4 -4 5 -5 6---"
	known := "/v1/audio?tab=4+-4+5"
	var res *http.Response
	var err error
	switch n % 3 {
	case 0:
		res, err = http.Get(fmt.Sprintf("%s/v1/audio?tab=4+-4+5+-5+6&tempo=%d.%d", front, 60+client, n))
	case 1:
		res, err = http.Get(front + known)
	default:
		res, err = http.Post(front+"/v1/audio", "application/json", strings.NewReader(fmt.Sprintf(`{"tab":%q,"tempo":%d.%d}`, page, 60+client, n)))
	}
	if err != nil {
		return err
	}
	body, err := io.ReadAll(res.Body)
	_ = res.Body.Close() // read to its end
	full := res.StatusCode == http.StatusServiceUnavailable && bytes.Contains(body, []byte("/problems/busy"))
	if err == nil && !full && (res.StatusCode != http.StatusOK || int64(len(body)) != res.ContentLength) {
		return fmt.Errorf("%s with %d bytes of %d", res.Status, len(body), res.ContentLength)
	}
	return err
}
