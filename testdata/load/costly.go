package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// request is one that is posted, since it is long, or asked for by its address.
type request struct {
	path string
	body map[string]any // nil for GET
}

// expensive are the most expensive requests of each resource that are accepted, as
// far as is known: as many notes, chords or seconds as the limits let through.
var expensive = []struct {
	name string
	request
}{
	{"sound", request{"/v1/audio", map[string]any{"tab": chordsOfTen(2600), "tempo": 400, "channels": 2, "room": 1, "depth": 24, "loudness": -12}}},
	{"sound with backing", request{"/v1/audio", map[string]any{"tab": rows(280), "tempo": 400, "backing": "chords", "channels": 2, "room": 1, "depth": 24}}},
	{"sound as FLAC", request{"/v1/audio", map[string]any{"tab": rows(280), "tempo": 400, "backing": "chords", "channels": 2, "depth": 24, "format": "flac"}}},
	{"score", request{"/v1/score", map[string]any{"tab": chordsOfTen(4500), "tempo": 400, "channels": 2, "room": 1}}},
	{"score as MIDI", request{"/v1/score", map[string]any{"tab": chordsOfTen(4500), "tempo": 400, "format": "midi"}}},
	{"score as MusicXML", request{"/v1/score", map[string]any{"tab": chordsOfTen(4500), "tempo": 400, "format": "musicxml"}}},
	{"score of a line of braces as MusicXML", request{"/v1/score", map[string]any{"tab": strings.Repeat("{4 5 6 -4} ", 4900), "tempo": 400, "format": "musicxml"}}},
	{"picture", request{"/v1/picture", map[string]any{"tab": chordsOfTen(4500), "tempo": 400}}},
	{"tab", request{"/v1/tab", map[string]any{"tab": rows(900), "tempo": 400, "to_convention": "letters"}}},
	{"tab with mistakes", request{"/v1/tab", map[string]any{"tab": strings.Repeat("11 -12 13' ", 5900)}}},
	{"card", request{"/picture.png?tempo=400&tab=" + strings.Repeat("45+", 2600), nil}},
	{"page", request{"/?tempo=400&tab=" + strings.Repeat("45+", 2600), nil}},
}

func chordsOfTen(n int) string { return strings.Repeat("12345678910 ", n) }

func rows(n int) string {
	return strings.Repeat("chords: C F G C\n4 -4 5 -5 | 6 -6 7 -7 | 4 -4 5 -5 | 6 -6 7 -7\n", n)
}

var asked atomic.Int64

// send asks for something that nobody has asked for: it differs in a millionth of
// loudness.
func (s *service) send(ctx context.Context, r request) (*http.Response, error) {
	loudness := -16 - float64(asked.Add(1))/1e6
	method, address, body := http.MethodGet, s.base+r.path+fmt.Sprintf("&loudness=%.6f", loudness), io.Reader(nil)
	if r.body != nil {
		all := map[string]any{}
		for name, value := range r.body {
			all[name] = value
		}
		if _, set := all["loudness"]; set {
			loudness += 4
		}
		all["loudness"] = loudness
		text, err := json.Marshal(all)
		if err != nil {
			return nil, err
		}
		method, address, body = http.MethodPost, s.base+r.path, strings.NewReader(string(text))
	}
	req, err := http.NewRequestWithContext(ctx, method, address, body)
	if err != nil {
		return nil, err
	}
	if r.body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	return s.client.Do(req)
}

// processor is the processor time that the service has used. Linux alone tells it.
func (s *service) processor() (time.Duration, error) {
	text, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(s.process.Process.Pid), "stat"))
	if err != nil {
		return 0, err
	}
	fields := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
	const user, system, tick = 11, 12, 10 * time.Millisecond
	a, err := strconv.Atoi(fields[user])
	if err != nil {
		return 0, err
	}
	b, err := strconv.Atoi(fields[system])
	return time.Duration(a+b) * tick, err
}

// ordinary gives the addresses of what most people ask for, each new: a short sound,
// its score, its page.
func ordinary() func() string {
	var n atomic.Int64
	kinds := []string{"/v1/audio?", "/v1/score?", "/?"}
	return func() string {
		i := n.Add(1)
		return fmt.Sprintf("%stempo=120&tab=%s&loudness=-17.%06d", kinds[i%3], strings.Repeat("4+-4+5+-5+6+-6+", 2), i)
	}
}

// costs compares the most expensive request of each resource with an ordinary call.
func costs(b *bench) error {
	const calls = 300
	path := ordinary()
	from, err := b.processor()
	if err != nil {
		return err
	}
	for range calls {
		b.get(path())
	}
	to, err := b.processor()
	if err != nil {
		return err
	}
	one := (to - from) / calls
	b.says("an ordinary call", "", "%s of processor time", ms(one))
	for _, e := range expensive {
		from, err := b.processor()
		if err != nil {
			return err
		}
		res, err := b.send(context.Background(), e.request)
		if err != nil {
			return err
		}
		n, err := drain(res)
		if err != nil {
			return err
		}
		to, err := b.processor()
		if err != nil {
			return err
		}
		b.says("most expensive: "+e.name, "", "%.0f ordinary calls (%s; status %d, %.1f MB)", ratio(to-from, one), ms(to-from), res.StatusCode, float64(n)/1e6)
	}
	return nil
}

// ordinaryRate is how many ordinary calls a second there are beside the strangers.
const ordinaryRate = 10

// beside says how many ordinary calls are answered within twice the time that 99 of
// 100 take alone, while something else goes on.
func (b *bench) beside(what string, wanted string, start func(done <-chan struct{}) error) error {
	span, path := time.Duration(b.seconds)*time.Second, ordinary()
	b.openLoop(ordinaryRate, time.Second, path)
	alone := good(b.openLoop(ordinaryRate, span, path))
	limit := 2 * took(alone, 0.99)
	done, ended := make(chan struct{}), make(chan error, 1)
	go func() { ended <- start(done) }()
	time.Sleep(time.Second)
	all := b.openLoop(ordinaryRate, span, path)
	close(done)
	if err := <-ended; err != nil {
		return err
	}
	within := 0
	for _, a := range good(all) {
		if a.took <= limit {
			within++
		}
	}
	b.says("ordinary calls beside "+what+": within twice the unloaded p99 ("+ms(limit)+"); answered at all", wanted,
		"%.1f %%; %d of %d", 100*float64(within)/float64(max(len(all), 1)), len(good(all)), len(all))
	return nil
}

// abandonedRate is how many expensive requests a second are abandoned.
const abandonedRate = 20

// abandoned is strangers who ask for what is expensive and go away at once.
func abandoned(b *bench) error {
	for _, e := range expensive {
		err := b.beside(fmt.Sprintf("%d abandoned requests a second, %s", abandonedRate, e.name), "95 %", func(done <-chan struct{}) error {
			return b.abandon(e.request, done)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// abandon asks again and again, and waits for no answer.
func (b *bench) abandon(r request, done <-chan struct{}) error {
	var calls sync.WaitGroup
	defer calls.Wait()
	for every := time.NewTicker(time.Second / abandonedRate); ; {
		select {
		case <-done:
			return nil
		case <-every.C:
		}
		calls.Go(func() {
			ctx, leave := context.WithTimeout(context.Background(), 100*time.Millisecond)
			defer leave()
			if res, err := b.send(ctx, r); err == nil {
				_, _ = drain(res) // going away is the point
			}
		})
	}
}

// unread is strangers who ask for large answers and do not read them.
func unread(b *bench) error {
	for _, e := range []int{0, 3, 7} {
		for _, many := range []int{2, 200} {
			err := b.beside(fmt.Sprintf("%d readers that do not read, %s", many, expensive[e].name), "95 %", func(done <-chan struct{}) error {
				return b.holdUnread(expensive[e].request, many, done)
			})
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// holdUnread opens connections, asks on each, and reads nothing. Those that are
// refused or cut off ask again.
func (b *bench) holdUnread(r request, many int, done <-chan struct{}) error {
	text, err := json.Marshal(r.body)
	if err != nil {
		return err
	}
	var readers sync.WaitGroup
	defer readers.Wait()
	for range many {
		conn, err := net.Dial("tcp", strings.TrimPrefix(b.base, "http://"))
		if err != nil {
			return err
		}
		if err := conn.(*net.TCPConn).SetReadBuffer(4 << 10); err != nil {
			return err
		}
		readers.Go(func() {
			defer func() { _ = conn.Close() }()
			_, _ = fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: here\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s", r.path, len(text), text)
			<-done
		})
		time.Sleep(10 * time.Millisecond)
	}
	return nil
}
