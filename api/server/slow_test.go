package server

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// pipeListener hands out one end of pipes: a network in which time can be faked.
type pipeListener struct {
	conns chan net.Conn
	done  chan struct{}
}

func newPipes() *pipeListener { return &pipeListener{make(chan net.Conn), make(chan struct{})} }

func (l *pipeListener) Accept() (net.Conn, error) {
	select {
	case c := <-l.conns:
		return c, nil
	case <-l.done:
		return nil, net.ErrClosed
	}
}

func (l *pipeListener) Close() error   { close(l.done); return nil }
func (l *pipeListener) Addr() net.Addr { return &net.TCPAddr{} }

func (l *pipeListener) dial() net.Conn {
	here, there := net.Pipe()
	l.conns <- there
	return here
}

// served runs a test against a whole server in a bubble of time.
func served(t *testing.T, cfg Config, do func(t *testing.T, l *pipeListener, s *service)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		l := newPipes()
		s := newService(cfg.filled())
		srv := s.httpServer()
		done := make(chan error, 1)
		go func() { done <- srv.Serve(l) }()
		do(t, l, s)
		require.NoError(t, srv.Close())
		require.ErrorIs(t, <-done, http.ErrServerClosed)
		s.store.Close()
	})
}

const longSound = "GET /v1/audio?tempo=60&tab=" + "4+-4+5+-5+4+-4+5+-5+4+-4+5+-5+4+-4+5+-5+4+-4+5+-5" + " HTTP/1.1\r\nHost: a\r\n\r\n"

// A reader who takes nothing is let go, one who is slow but takes the least there
// is to take has it all; meanwhile neither keeps anybody out.
func TestSlowReaders(t *testing.T) {
	served(t, Config{Log: quiet.Log, Slots: 1, Line: 1}, func(t *testing.T, l *pipeListener, s *service) {
		for range 20 { // far more than may be worked on or wait
			stuck := l.dial()
			defer func() { require.NoError(t, stuck.Close()) }()
			_, err := io.WriteString(stuck, longSound)
			require.NoError(t, err)
			time.Sleep(time.Second)
		}
		free, _ := s.queue.State()
		require.Equal(t, s.cfg.Slots, free, "they hold no slot")
		quick := l.dial()
		_, err := io.WriteString(quick, longSound)
		require.NoError(t, err)
		res, err := http.ReadResponse(bufio.NewReader(quick), nil)
		require.NoError(t, err)
		require.Equal(t, http.StatusOK, res.StatusCode)
		n, err := io.Copy(io.Discard, res.Body)
		require.NoError(t, err)
		require.Equal(t, res.ContentLength, n)
		require.NoError(t, quick.Close())
		time.Sleep(time.Minute)
		_, inside := s.queue.State()
		require.Zero(t, inside, "and they are gone")
	})
}

// ref: the slowest that the configuration lets pass. Whoever is so slow makes the
// call let go of its sound between two blocks; what he has in the end is the same.
func TestSlowReaderHasItAll(t *testing.T) {
	for _, format := range []string{"wav", "flac"} {
		seen := newCounting()
		cfg := Config{Log: quiet.Log, WriteRate: 4096, CacheBytes: -1, Observer: seen}
		served(t, cfg, func(t *testing.T, l *pipeListener, _ *service) {
			request := strings.Replace(longSound, "tempo=60", "tempo=400&rate=22050&format="+format, 1)
			want := hear(t, l, request, func(r io.Reader) io.Reader { return r })
			looked := func() int { return seen.looks["piece true"] + seen.looks["piece false"] }
			require.Equal(t, 1, looked())
			got := hear(t, l, request, func(r io.Reader) io.Reader { return slowly{r} })
			require.True(t, bytes.Equal(want, got))
			require.Greater(t, len(got), 100<<10)
			require.Greater(t, looked(), 2, "the slow one's was let go and looked for again")
		})
	}
}

// What goes before the samples does not wait until it is known how loud they are;
// whoever comes later has the same file.
func TestHeadGoesFirst(t *testing.T) {
	seen := newCounting()
	served(t, Config{Log: quiet.Log, Observer: seen}, func(t *testing.T, l *pipeListener, _ *service) {
		conn := l.dial()
		_, err := io.WriteString(conn, longSound)
		require.NoError(t, err)
		synctest.Wait() // the answer is stuck in the pipe
		require.Equal(t, 1, seen.stages["perform"])
		require.Zero(t, seen.stages["render"])
		res, err := http.ReadResponse(bufio.NewReader(conn), nil)
		require.NoError(t, err)
		whole, err := io.ReadAll(res.Body)
		require.NoError(t, err)
		require.Len(t, whole, int(res.ContentLength))
		require.NoError(t, conn.Close())
		require.True(t, bytes.Equal(whole, hear(t, l, longSound, func(r io.Reader) io.Reader { return r })))
	})
}

// hear calls, and reads the whole answer in some manner.
func hear(t *testing.T, l *pipeListener, request string, manner func(io.Reader) io.Reader) []byte {
	t.Helper()
	conn := l.dial()
	_, err := io.WriteString(conn, request)
	require.NoError(t, err)
	res, err := http.ReadResponse(bufio.NewReaderSize(manner(conn), 1024), nil)
	require.NoError(t, err)
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.Len(t, body, int(res.ContentLength))
	require.NoError(t, conn.Close())
	return body
}

// slowly reads a kilobyte every fifth of a second: 5 kB/s.
type slowly struct{ io.Reader }

func (s slowly) Read(b []byte) (int, error) {
	time.Sleep(200 * time.Millisecond)
	return s.Reader.Read(b[:min(len(b), 1024)])
}

// ref: "slow headers": who never ends a request is let go.
func TestSlowHeaders(t *testing.T) {
	served(t, Config{Log: quiet.Log}, func(t *testing.T, l *pipeListener, _ *service) {
		began := time.Now()
		conns := make([]net.Conn, 200)
		for i := range conns {
			conns[i] = l.dial()
			_, err := io.WriteString(conns[i], "GET /v1/audio?tab=4 HTTP/1.1\r\nHost: a\r\nX-")
			require.NoError(t, err)
		}
		quick := l.dial()
		_, err := io.WriteString(quick, "GET /healthz HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n")
		require.NoError(t, err)
		res, err := http.ReadResponse(bufio.NewReader(quick), nil)
		require.NoError(t, err)
		require.Equal(t, http.StatusOK, res.StatusCode)
		require.Zero(t, time.Since(began), "nobody waited")
		for _, c := range conns {
			_, err := io.ReadAll(c)
			require.NoError(t, err)
		}
		require.LessOrEqual(t, time.Since(began), headerTime+time.Second)
	})
}

// ref: RFC 9112, section 9.8: an answer that is cut off is no whole one.
func TestListenerGoesAway(t *testing.T) {
	served(t, Config{Log: quiet.Log}, func(t *testing.T, l *pipeListener, s *service) {
		for range 30 {
			conn := l.dial()
			_, err := io.WriteString(conn, longSound)
			require.NoError(t, err)
			_, err = io.ReadFull(conn, make([]byte, 1000))
			require.NoError(t, err)
			require.NoError(t, conn.Close())
			synctest.Wait()
		}
		free, inside := s.queue.State()
		require.Zero(t, inside)
		require.Equal(t, s.cfg.Slots, free)
	})
}

// hold takes all slots of a service until release is called.
func hold(t *testing.T, s *service) (release func()) {
	t.Helper()
	var all []func()
	for range s.cfg.Slots {
		one, err := s.queue.NewJob().Acquire(t.Context(), 0)
		require.NoError(t, err)
		all = append(all, one.Release)
	}
	return func() {
		for _, one := range all {
			one()
		}
	}
}

// What is made for a caller who has gone is made no further, whatever it is.
func TestCallerGoesAway(t *testing.T) {
	seen := newCounting()
	served(t, Config{Log: quiet.Log, Observer: seen}, func(t *testing.T, l *pipeListener, s *service) {
		for i, target := range []string{
			"/v1/audio?format=flac&tab=4", "/v1/audio?tab=4", "/v1/score?tab=4", "/v1/score?format=midi&tab=4",
			"/v1/score?format=musicxml&tab=4", "/v1/picture?tab=4", "/picture.png?tab=4", "/v1/tab?tab=4", "/?tab=4", "/embed?tab=4",
		} {
			release := hold(t, s)
			conn := l.dial()
			_, err := fmt.Fprintf(conn, "GET %s&tempo=%d HTTP/1.1\r\nHost: a\r\n\r\n", target, 100+i)
			require.NoError(t, err)
			synctest.Wait()
			_, jobs := s.queue.State()
			require.Equal(t, 1, jobs)
			require.NoError(t, conn.Close())
			time.Sleep(lingerTime)
			synctest.Wait()
			_, jobs = s.queue.State()
			require.Zero(t, jobs, target)
			release()
			synctest.Wait()
			require.Zero(t, seen.stages["parse"], target)
		}
	})
}

// A long file that is surveyed for a caller who goes is surveyed no further.
func TestCallerOfFLACGoesAway(t *testing.T) {
	seen := newCounting()
	served(t, Config{Log: quiet.Log, Observer: seen}, func(t *testing.T, l *pipeListener, s *service) {
		conn := l.dial()
		_, err := io.WriteString(conn, longSound)
		require.NoError(t, err)
		synctest.Wait() // the piece is open, and the answer stuck in the pipe
		require.NoError(t, conn.Close())
		synctest.Wait()
		before := seen.rendered
		release := hold(t, s)
		conn = l.dial()
		_, err = io.WriteString(conn, strings.Replace(longSound, "?", "?format=flac&", 1))
		require.NoError(t, err)
		synctest.Wait()
		require.NoError(t, conn.Close())
		time.Sleep(lingerTime)
		synctest.Wait()
		release()
		synctest.Wait()
		require.Equal(t, before, seen.rendered)
	})
}

// A caller who closes one half of the connection once it has asked is answered, if
// that takes no longer than a moment.
func TestHalfClosed(t *testing.T) {
	base, stop, done := start(t, Config{Log: quiet.Log})
	conn, err := net.Dial("tcp", strings.TrimPrefix(base, "http://"))
	require.NoError(t, err)
	defer func() { require.NoError(t, conn.Close()) }()
	_, err = io.WriteString(conn, "GET /healthz HTTP/1.1\r\nHost: a\r\n\r\n")
	require.NoError(t, err)
	require.NoError(t, conn.(*net.TCPConn).CloseWrite())
	res, err := http.ReadResponse(bufio.NewReader(conn), nil)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, res.StatusCode)
	require.NoError(t, res.Body.Close())
	stop()
	require.NoError(t, <-done)
}

// Who does not read an answer holds no place among those who work, whatever it is.
func TestUnreadAnswersHoldNoPlace(t *testing.T) {
	served(t, Config{Log: quiet.Log, Slots: 1, Line: 1}, func(t *testing.T, l *pipeListener, s *service) {
		page := strings.Repeat("123+", 300)
		for i, target := range []string{
			"/v1/score?", "/v1/score?format=midi&", "/v1/score?format=musicxml&", "/v1/picture?", "/v1/tab?", "/picture.png?", "/?", "/embed?", "/v1/audio?", "/v1/audio?format=flac&",
		} {
			for range 3 { // more than may be worked on and wait
				conn := l.dial()
				defer func() { require.NoError(t, conn.Close()) }()
				_, err := fmt.Fprintf(conn, "GET %stab=%s&tempo=%d HTTP/1.1\r\nHost: a\r\n\r\n", target, page, 300+i)
				require.NoError(t, err)
				synctest.Wait()
			}
			time.Sleep(time.Millisecond)
			free, _ := s.queue.State()
			require.Equal(t, 1, free, target)
			long := s.queue.NewJob()
			require.NoError(t, long.Expect(time.Minute), "%s: nobody is due before", target)
			long.Leave()
			require.Equal(t, http.StatusOK, record(s.handler(), call{target: fmt.Sprintf("/v1/score?tab=4&tempo=%d", 100+i)}).StatusCode, target)
		}
	})
}

// What was charged for a sound that nobody heard to its end comes back.
func TestUnspentChargesComeBack(t *testing.T) {
	cfg := Config{Log: quiet.Log, Quota: Quota{Rate: 1e-6, Burst: 100}}
	served(t, cfg, func(t *testing.T, l *pipeListener, s *service) {
		left := func() float64 {
			units, _ := s.quotas.Account("").State()
			return units
		}
		conn := l.dial()
		_, err := io.WriteString(conn, longSound)
		require.NoError(t, err)
		_, err = io.ReadFull(conn, make([]byte, 70_000)) // one block of 30 s of sound, and a little
		require.NoError(t, err)
		synctest.Wait()
		require.Less(t, left(), 90.0, "the whole is charged")
		require.NoError(t, conn.Close())
		synctest.Wait()
		require.Greater(t, left(), 95.0, "and what was not made given back")
		require.Less(t, left(), 99.0)
	})
}
