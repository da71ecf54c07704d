package main

import (
	"cmp"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// answer is how a call ended.
type answer struct {
	status int // 0 where there was no answer, or not a whole one
	first  time.Duration
	took   time.Duration // from when the call was due to the last byte
	retry  bool          // it says when to come again
	bytes  int64
}

// get calls at once.
func (s *service) get(path string) answer { return s.getDue(path, time.Now()) }

// getDue calls, and counts from when the call was due: what a client is late is
// waiting, too.
func (s *service) getDue(path string, due time.Time) answer {
	res, err := s.client.Get(s.base + path)
	if err != nil {
		return answer{took: time.Since(due)}
	}
	defer func() { _ = res.Body.Close() }()
	a := answer{first: time.Since(due), retry: res.Header.Get("Retry-After") != ""}
	a.bytes, err = io.Copy(io.Discard, res.Body)
	a.took = time.Since(due)
	if err == nil && (res.ContentLength < 0 || a.bytes == res.ContentLength) {
		a.status = res.StatusCode
	}
	return a
}

// openLoop makes so many calls a second, at random moments, for some time, and
// returns the answers when the last is there. Chance is seeded, so that a run can
// be made again.
func (s *service) openLoop(rate float64, last time.Duration, path func() string) []answer {
	var all []answer
	var mu sync.Mutex
	var calls sync.WaitGroup
	chance := rand.New(rand.NewPCG(1, 2))
	began := time.Now()
	for at := time.Duration(0); at < last; at += time.Duration(chance.ExpFloat64() / rate * float64(time.Second)) {
		due := began.Add(at)
		time.Sleep(time.Until(due))
		where := path()
		calls.Go(func() {
			a := s.getDue(where, due)
			mu.Lock()
			all = append(all, a)
			mu.Unlock()
		})
	}
	calls.Wait()
	return all
}

// fresh gives addresses of sounds of about so many seconds that nobody has asked
// for, two notes a second; they differ in a millionth of loudness.
func fresh(seconds int) func() string {
	return numbered(strings.Repeat("4+-4+5+-5+6+-6+", seconds*2/6+1), 120)
}

// held gives such addresses of sounds with a note every ten seconds.
func held(seconds int) func() string {
	return numbered(strings.Repeat("4---------+5---------+6---------+", seconds/30+1), 60)
}

func numbered(tab string, tempo int) func() string {
	var n atomic.Int64
	return func() string {
		return fmt.Sprintf("/v1/audio?tempo=%d&tab=%s&loudness=-16.%06d", tempo, tab, n.Add(1))
	}
}

// good are the answers that are whole sounds.
func good(all []answer) []answer { return only(all, http.StatusOK) }

func only(all []answer, status int) (out []answer) {
	for _, a := range all {
		if a.status == status {
			out = append(out, a)
		}
	}
	return out
}

// took is how long a call took at most, of that share of the calls that were
// answered soonest: 0.5 is the median.
func took(all []answer, share float64) time.Duration {
	return quantile(all, share, func(a answer) time.Duration { return a.took })
}

func quantile[T any, V cmp.Ordered](all []T, share float64, value func(T) V) (v V) {
	if len(all) == 0 {
		return v
	}
	values := make([]V, len(all))
	for i, one := range all {
		values[i] = value(one)
	}
	slices.Sort(values)
	return values[min(len(values)-1, int(share*float64(len(values))))]
}

func ratio(a, b time.Duration) float64 { return float64(a) / float64(b) }
