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
	alone := good(b.openLoop(20, span, path))
	address := strings.TrimPrefix(b.base, "http://")
	done := make(chan struct{})
	var strangers sync.WaitGroup
	for i := range 204 {
		conn, err := net.Dial("tcp", address)
		if err != nil {
			return err
		}
		strangers.Go(func() {
			defer conn.Close()
			if i < 4 {
				readSlowly(conn, fresh(600)(), done)
			} else {
				writeSlowly(conn, done)
			}
		})
	}
	beside := b.openLoop(20, span, path)
	close(done)
	strangers.Wait()
	b.says("beside 4 slow readers and 200 slow headers: accepted", "all", "%d of %d", len(good(beside)), len(beside))
	b.says("median, p99 to those without them", "1", "%.2f, %.2f", ratio(took(beside, 0.5), took(alone, 0.5)), ratio(took(beside, 0.99), took(alone, 0.99)))
	return nil
}

// readSlowly takes 16 kB a second, more than the least that a listener must.
func readSlowly(conn net.Conn, path string, done <-chan struct{}) {
	fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: here\r\n\r\n", path)
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
// one does.
func firstByte(b *bench) error {
	short, long := fresh(5), fresh(120)
	var ofShort, ofLong []answer
	for range 60 { // in turn, so that what slows the machine slows both
		ofShort, ofLong = append(ofShort, b.get(short())), append(ofLong, b.get(long()))
	}
	first := func(a answer) time.Duration { return a.first }
	s, l := quantile(good(ofShort), 0.5, first), quantile(good(ofLong), 0.5, first)
	b.says("first byte of 5 s and of 120 s of new sound, medians", "", "%s, %s", ms(s), ms(l))
	b.says("their ratio", "1.5", "%.2f", ratio(l, s))
	return nil
}

// memory is what a call takes whose answer is under way: a hundred listeners
// who have stopped in the middle.
func memory(b *bench) error {
	const many = 100
	path := fresh(300)
	b.openLoop(10, 2*time.Second, path)
	before, _, err := b.size()
	if err != nil {
		return err
	}
	under := 0
	for range many {
		res, err := b.client.Get(b.base + path())
		if err != nil {
			return err
		}
		defer res.Body.Close()
		if _, err := io.ReadFull(res.Body, make([]byte, 1000)); err == nil && res.StatusCode == http.StatusOK {
			under++
		}
	}
	time.Sleep(500 * time.Millisecond) // until the sockets are full
	after, _, err := b.size()
	if err != nil {
		return err
	}
	b.says(fmt.Sprintf("memory for each of %d sounds of 5 minutes under way", under), "256 kB", "%.0f kB", float64(after-before)/many/1000)
	return nil
}
