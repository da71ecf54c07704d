package main

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"
)

// crowd is a class that opens one page at one moment.
func crowd(b *bench) error {
	const many = 200
	path := fresh(60)()
	before, err := b.figure("reedlark_rendered_sound_seconds_total")
	if err != nil {
		return err
	}
	all := make([]answer, many)
	var calls sync.WaitGroup
	for i := range all {
		calls.Go(func() { all[i] = b.get(path) })
	}
	calls.Wait()
	after, err := b.figure("reedlark_rendered_sound_seconds_total")
	if err != nil {
		return err
	}
	seconds := float64(all[0].bytes-44) / 2 / 48000
	b.says(fmt.Sprintf("%d at once for one new sound of a minute: renders", many), "1", "%.2f", (after-before)/seconds)
	b.says("accepted of those", "all", "%d", len(good(all)))
	return nil
}

// slow is strangers who take their time: four that read slowly, and 200 that
// never end their headers. What they cost others is the question.
func slow(b *bench) error {
	path, span := fresh(soundSeconds), time.Duration(b.seconds)*time.Second
	b.openLoop(5, time.Second, path)
	calls := b.openLoop(10, span, path)
	alone := good(calls)
	address := strings.TrimPrefix(b.base, "http://")
	done := make(chan struct{})
	var strangers sync.WaitGroup
	for i := range 204 {
		conn, err := net.Dial("tcp", address)
		if err != nil {
			return err
		}
		strangers.Go(func() {
			defer func() { _ = conn.Close() }()
			if i < 4 {
				readSlowly(conn, fresh(600)(), done)
			} else {
				writeSlowly(conn, done)
			}
		})
	}
	beside := b.openLoop(10, span, path)
	close(done)
	strangers.Wait()
	b.says("ten calls a second: accepted, alone and beside 4 slow readers and 200 slow headers", "all", "%d of %d, %d of %d", len(alone), len(calls), len(good(beside)), len(beside))
	b.says("median, p99 beside them to those alone", "1", "%.2f, %.2f", ratio(took(good(beside), 0.5), took(alone, 0.5)), ratio(took(good(beside), 0.99), took(alone, 0.99)))
	return nil
}

// readSlowly takes 16 kB a second, more than the least that a listener must.
func readSlowly(conn net.Conn, path string, done <-chan struct{}) {
	_, _ = fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: here\r\n\r\n", path)
	for piece := make([]byte, 1600); ; {
		select {
		case <-done:
			return
		case <-time.After(100 * time.Millisecond):
			if _, err := io.ReadFull(conn, piece); err != nil {
				return
			}
		}
	}
}

// writeSlowly sends a header field that has no end, a letter a second.
func writeSlowly(conn net.Conn, done <-chan struct{}) {
	text := "GET /healthz HTTP/1.1\r\nHost: here\r\nX: "
	for {
		if _, err := io.WriteString(conn, text); err != nil {
			return
		}
		text = "x"
		select {
		case <-done:
			return
		case <-time.After(time.Second):
		}
	}
}

// firstByte compares how soon a long sound begins to come with how soon a short
// one does: with as many notes, and with as many notes a second.
func firstByte(b *bench) error {
	for _, k := range []struct {
		notes       string
		short, long func() string
	}{
		{"as many notes", fresh(5), held(120)},
		{"two notes a second", fresh(5), fresh(120)},
	} {
		var ofShort, ofLong []answer
		for range 60 { // in turn, so that what slows the machine slows both
			ofShort, ofLong = append(ofShort, b.get(k.short())), append(ofLong, b.get(k.long()))
		}
		first := func(a answer) time.Duration { return a.first }
		s, l := quantile(good(ofShort), 0.5, first), quantile(good(ofLong), 0.5, first)
		b.says("first byte of 5 s and of 120 s of new sound, "+k.notes+", medians", "", "%s, %s", ms(s), ms(l))
		b.says("their ratio", "1.5", "%.2f", ratio(l, s))
	}
	return nil
}

// memory is what a call takes whose answer is under way: listeners who have
// stopped in the middle of sounds of five minutes. A service is measured once, for
// what was given back makes room for the next.
func memory(notes string, path func() string) func(*bench) error {
	return func(b *bench) error {
		b.openLoop(10, 2*time.Second, path)
		each, under, err := b.stalled(path)
		if err == nil {
			b.says(fmt.Sprintf("memory for each of %d sounds of 5 minutes under way, %s", under, notes), "256 kB", "%.0f kB", each/1000)
		}
		return err
	}
}

// underWay is how many: enough that what the heap does by itself does not count.
const underWay = 400

// stalled begins many sounds, stops reading them, and says how much larger the
// service is for each.
func (b *bench) stalled(path func() string) (each float64, under int, err error) {
	before, _, err := b.size()
	if err != nil {
		return 0, 0, err
	}
	for range underWay {
		res, err := b.client.Get(b.base + path())
		if err != nil {
			return 0, 0, err
		}
		defer func() { _ = res.Body.Close() }()
		if _, err := io.ReadFull(res.Body, make([]byte, 1000)); err == nil && res.StatusCode == http.StatusOK {
			under++
		}
		time.Sleep(20 * time.Millisecond) // until its socket is full and it lets others in
	}
	time.Sleep(2 * time.Second) // until each is seen to be slow
	after, _, err := b.size()
	return float64(after-before) / float64(max(under, 1)), under, err
}
