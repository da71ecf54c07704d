package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"syscall"
	"time"
)

// service is a running process of `reedlark serve`.
type service struct {
	process *exec.Cmd
	base    string // its address
	figures string // that of its metrics
	client  *http.Client
}

// connections is how many the clients keep open between calls.
const connections = 2000

var told = regexp.MustCompile(`msg=(listening|metrics) address=(\S+)`)

// start runs a service and waits until it is ready.
func start(binary string, args ...string) (*service, error) {
	args = append([]string{"serve", "--listen=127.0.0.1:0", "--metrics=127.0.0.1:0", "--drain=200ms"}, args...)
	s := &service{
		process: exec.Command(binary, args...),
		client:  &http.Client{Timeout: time.Minute, Transport: &http.Transport{MaxIdleConns: connections, MaxIdleConnsPerHost: connections}},
	}
	log, err := s.process.StderrPipe()
	if err != nil {
		return nil, err
	}
	if err := s.process.Start(); err != nil {
		return nil, err
	}
	lines := bufio.NewScanner(log)
	for s.base == "" && lines.Scan() {
		if found := told.FindStringSubmatch(lines.Text()); found != nil {
			address := map[string]*string{"listening": &s.base, "metrics": &s.figures}[found[1]]
			*address = "http://" + found[2]
		}
	}
	if s.base == "" {
		return nil, errors.Join(errors.New("it did not start"), s.process.Wait())
	}
	go func() { _, _ = io.Copy(io.Discard, log) }() // it is not to wait for a reader of its log
	for range 1000 {
		if a := s.get("/readyz"); a.status == http.StatusOK {
			return s, nil
		}
		time.Sleep(time.Millisecond)
	}
	return nil, errors.New("it does not become ready")
}

// stop ends the service; anything but a good end is an error.
func (s *service) stop() error {
	s.client.CloseIdleConnections()
	if err := s.process.Process.Signal(syscall.SIGTERM); err != nil {
		return err
	}
	return s.process.Wait()
}

// figure is one of the service's metrics, by its name and labels as they are
// written.
func (s *service) figure(name string) (float64, error) {
	res, err := s.client.Get(s.figures + "/metrics")
	if err != nil {
		return 0, err
	}
	defer func() { _ = res.Body.Close() }()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		return 0, err
	}
	found := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(name) + ` (\S+)$`).FindSubmatch(text)
	if found == nil {
		return 0, fmt.Errorf("there is no figure %s", name)
	}
	return strconv.ParseFloat(string(found[1]), 64)
}

// size is what the process takes: resident memory in bytes, and descriptors.
// Linux alone tells that.
func (s *service) size() (memory, descriptors int, err error) {
	proc := filepath.Join("/proc", strconv.Itoa(s.process.Process.Pid))
	text, err := os.ReadFile(filepath.Join(proc, "status"))
	if err != nil {
		return 0, 0, err
	}
	found := regexp.MustCompile(`VmRSS:\s+(\d+) kB`).FindSubmatch(text)
	if found == nil {
		return 0, 0, errors.New("the system does not tell how large a process is")
	}
	memory, err = strconv.Atoi(string(found[1]))
	if err != nil {
		return 0, 0, err
	}
	open, err := os.ReadDir(filepath.Join(proc, "fd"))
	return memory << 10, len(open), err
}
