package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// invented is a page of an invented exercise, the same for the same number.
func invented(n int) string {
	random := rand.New(rand.NewPCG(5, uint64(n)))
	var b strings.Builder
	fmt.Fprintf(&b, "Title: Exercise %d (invented)\nTempo: %d\nMetre: 4/4\n\n", n, 80+10*random.IntN(5))
	for range 4 {
		for range 8 {
			fmt.Fprintf(&b, "%s%d%s ", []string{"", "-"}[random.IntN(2)], 3+random.IntN(6), []string{"", "", "", "-"}[random.IntN(4)])
		}
		b.WriteString("\nbreathe, then go on\n")
	}
	return b.String()
}

// spent is the processor time of this process so far.
func spent(b *testing.B) time.Duration {
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkCourse compares a course on twelve harps at two tempos with the same
// sounds rendered by single calls, as many of them at once as there are
// processors: processor time, and time on the clock, for a second of sound.
func BenchmarkCourse(b *testing.B) {
	b.Chdir(b.TempDir())
	const pages = 6
	for worker := range runtime.GOMAXPROCS(0) {
		require.NoError(b, os.MkdirAll(fmt.Sprintf("../single/%d", worker), 0o755))
	}
	for n := range pages {
		require.NoError(b, os.WriteFile(fmt.Sprintf("%02d.txt", n), []byte(invented(n)), 0o644))
	}
	render := func(args ...string) (seconds float64) {
		var out, said bytes.Buffer
		code := run(b.Context(), append([]string{"render", "--json"}, args...), nil, &out, &said)
		if code != 0 {
			panic(said.String())
		}
		lines := strings.Split(strings.TrimSpace(out.String()), "\n")
		var sum struct{ Summary summary }
		require.NoError(b, json.Unmarshal([]byte(lines[len(lines)-1]), &sum))
		return sum.Summary.Seconds
	}
	single := func() (seconds float64) {
		sums := make(chan float64)
		for worker := range runtime.GOMAXPROCS(0) {
			go func() {
				sum := 0.0
				for n := worker; n < 24*pages; n += runtime.GOMAXPROCS(0) {
					sum += render(fmt.Sprintf("%02d.txt", n%pages), "--harp", twelve[n/pages%12], "--tempo", []string{"70%", "100%"}[n/pages/12], "-o", fmt.Sprintf("../single/%d/one.wav", worker))
				}
				sums <- sum
			}()
		}
		for range runtime.GOMAXPROCS(0) {
			seconds += <-sums
		}
		return seconds
	}
	var wall, cpu [2]float64
	for b.Loop() {
		for i, f := range []func() float64{func() float64 { return render(".", "-o", "../course", "--harp", "all", "--tempo", "70%,100%") }, single} {
			began, before := time.Now(), spent(b)
			seconds := f()
			wall[i] += time.Since(began).Seconds() / seconds
			cpu[i] += (spent(b) - before).Seconds() / seconds
		}
		require.NoError(b, os.RemoveAll("../course"))
	}
	b.ReportMetric(1e6*cpu[0]/float64(b.N), "µs/s-of-sound")
	b.ReportMetric(cpu[0]/cpu[1], "cpu-ratio")
	b.ReportMetric(wall[0]/wall[1], "wall-ratio")
}
