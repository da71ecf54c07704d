package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// service is a running process of `reedlark serve`.
type service struct {
	*exec.Cmd
	base    string
	figures string        // where its metrics are, if anywhere
	ended   chan struct{} // closed when its log has ended
}

var listening = regexp.MustCompile(`msg=(listening|metrics) address=(\S+)`)

// serve starts a service on a port of its own and waits until it is ready.
func serve(t *testing.T, args ...string) *service {
	t.Helper()
	cmd, _ := program(t, append([]string{"serve", "--listen=127.0.0.1:0"}, args...)...)
	cmd.Stderr = nil
	log, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	s := &service{Cmd: cmd, ended: make(chan struct{})}
	address := make(chan string, 1)
	go func() {
		defer close(s.ended)
		for lines := bufio.NewScanner(log); lines.Scan(); {
			switch found := listening.FindStringSubmatch(lines.Text()); {
			case found == nil:
			case found[1] == "metrics": // told first
				s.figures = "http://" + found[2]
			default:
				address <- found[2]
			}
		}
	}()
	select {
	case at := <-address:
		s.base = "http://" + at
	case <-s.ended:
		t.Fatal("it did not start: ", cmd.Wait())
	}
	require.Eventually(t, func() bool { return s.status("/readyz") == http.StatusOK }, processTime, time.Millisecond)
	return s
}

// status of an answer; 0 where there is none.
func (s *service) status(path string) int {
	res, err := http.Get(s.base + path)
	if err != nil {
		return 0
	}
	_ = res.Body.Close() // the status is here
	return res.StatusCode
}

// exit waits for the end and is the exit code, -1 where it had to be killed.
func (s *service) exit() int {
	<-s.ended
	_ = s.Wait() // the code says it
	return s.ProcessState.ExitCode()
}

// client asks again and again, each time a sound that nobody has asked for,
// until the door is shut. An answer that is not whole, or no success, is an
// error.
func (s *service) client(one *http.Client, name int, answered func()) error {
	for n := 0; ; n++ {
		res, err := one.Get(fmt.Sprintf("%s/v1/audio?rate=22050&tab=4+-4&tempo=%d.%03d", s.base, 160+name, n))
		if shut(err) {
			return nil
		}
		if err != nil {
			return err
		}
		size, err := io.Copy(io.Discard, res.Body)
		_ = res.Body.Close() // read to its end
		switch {
		case err != nil:
			return err
		case res.StatusCode != http.StatusOK || size != res.ContentLength:
			return fmt.Errorf("%s with %d bytes of %d", res.Status, size, res.ContentLength)
		}
		answered()
	}
}

// shut says that nobody opened, and so nothing was sent. The system resets a
// caller who comes in the microsecond in which the door is shut, and refuses those
// who come later.
func shut(err error) bool {
	var op *net.OpError
	return errors.As(err, &op) && op.Op == "dial" && (errors.Is(err, syscall.ECONNREFUSED) || errors.Is(err, syscall.ECONNRESET))
}

// A service that is told to stop under the load of 32 clients loses nothing:
// no answer is cut short, no connection reset, none refused with an error. It is
// told so ten times over; half of the clients keep their connections. There is a
// slot for each, so that however slow the machine is, no call has to be refused.
func TestStopUnderLoad(t *testing.T) {
	for range 10 {
		s := serve(t, "--drain=100ms", "--slots=32")
		var clients, first sync.WaitGroup
		for i := range 32 {
			clients.Add(1)
			first.Add(1)
			go func() {
				defer clients.Done()
				once := sync.OnceFunc(first.Done)
				defer once()
				transport := &http.Transport{DisableKeepAlives: i%2 == 0}
				defer transport.CloseIdleConnections()
				assert.NoError(t, s.client(&http.Client{Transport: transport}, i, once))
			}()
		}
		first.Wait()
		require.NoError(t, s.Process.Signal(syscall.SIGTERM))
		clients.Wait()
		require.Zero(t, s.exit())
	}
}

// The first signal makes it not ready while it is well; a second one does not
// wait for anybody.
func TestTwoSignals(t *testing.T) {
	s := serve(t, "--drain=10m")
	require.NoError(t, s.Process.Signal(syscall.SIGTERM))
	require.Eventually(t, func() bool { return s.status("/readyz") == http.StatusServiceUnavailable }, processTime, time.Millisecond)
	require.Equal(t, http.StatusOK, s.status("/healthz"))
	require.Equal(t, http.StatusOK, s.status("/v1/score?tab=4"))
	require.NoError(t, s.Process.Signal(syscall.SIGTERM))
	require.Equal(t, 3, s.exit())
}

// The figures are on a listener of their own, and nowhere else.
func TestMetricsListener(t *testing.T) {
	s := serve(t, "--metrics=127.0.0.1:0")
	require.Equal(t, http.StatusNotFound, s.status("/metrics"))
	figures := &service{base: s.figures}
	require.Equal(t, http.StatusOK, figures.status("/metrics"))
	require.Equal(t, http.StatusNotFound, figures.status("/healthz"))
	require.NoError(t, s.Process.Signal(os.Interrupt))
	require.Zero(t, s.exit())
	require.Zero(t, figures.status("/metrics"))
}
