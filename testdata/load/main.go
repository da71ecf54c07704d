// Command load puts a whole service under load and prints what held, each
// figure as a ratio within the run:
//
//	go run ./testdata/load                        # every trial, some minutes
//	go run ./testdata/load -only overload,crowd   # some
//	go run ./testdata/load -minutes 30            # and so long a mixed load
//
// The load is an open loop: calls come when their time has come, whether or not
// those before them were answered, as strangers do. (A closed loop, whose clients
// wait for an answer before they ask again, slows down with the service and hides
// its collapse. ref: Schroeder, Wierman, Harchol-Balter, "Open Versus Closed: A
// Cautionary Tale", NSDI 2006.)
//
// It builds Reedlark, runs it as a process of its own and talks to it over
// loopback, so that both share the machine's processors; what the clients take,
// the service lacks. Nothing else should run meanwhile. It ends with 1 where a
// trial could not be made, not where a figure is worse than wanted.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
)

// trial is one thing to be found out, by a service of its own.
type trial struct {
	name string
	args []string // of the service
	run  func(*bench) error
}

var trials = []trial{
	{"overload", nil, overload},
	{"crowd", nil, crowd},
	{"slow", nil, slow},
	{"first", nil, firstByte},
	{"memory", []string{"--cache=0", "--slots=2"}, memory("a note every ten seconds", held(300))},
	{"notes", []string{"--cache=0", "--slots=2"}, memory("two notes a second", fresh(300))},
	{"costs", []string{"--cache=0"}, costs},
	{"abandoned", []string{"--cache=0"}, abandoned},
	{"unread", []string{"--cache=0"}, unread},
	{"stop", nil, nil},
	{"mixed", nil, nil},
}

// bench is what a trial works with.
type bench struct {
	*service
	out     io.Writer
	seconds int // that one load lasts
}

// says writes one row: what was measured, how much it is, what was wanted.
func (b *bench) says(what, wanted, format string, args ...any) {
	_, _ = fmt.Fprintf(b.out, "| %s | %s | %s |\n", what, fmt.Sprintf(format, args...), wanted)
}

func main() {
	only := flag.String("only", "", "the trials to make, with commas between: overload, crowd, slow, first, memory, notes, costs, abandoned, unread, stop, mixed")
	binary := flag.String("reedlark", "", "a built program; none builds ./cmd/reedlark")
	seconds := flag.Int("seconds", 8, "how long one load lasts")
	minutes := flag.Float64("minutes", 1, "how long the mixed load lasts")
	flag.Parse()
	if err := load(*binary, *only, *seconds, time.Duration(*minutes*float64(time.Minute))); err != nil {
		fmt.Fprintln(os.Stderr, "load:", err)
		os.Exit(1)
	}
}

func load(binary, only string, seconds int, mixing time.Duration) error {
	dir, err := os.MkdirTemp("", "load")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(dir) }()
	if binary == "" {
		binary = filepath.Join(dir, "reedlark")
		if said, err := exec.Command("go", "build", "-o", binary, "reedlark/cmd/reedlark").CombinedOutput(); err != nil {
			return fmt.Errorf("building: %w\n%s", err, said)
		}
	}
	fmt.Printf("%d processors, %s, loads of %d s, load average before %s\n\n", runtime.NumCPU(), runtime.Version(), seconds, busy())
	fmt.Println("| what | measured | wanted |")
	fmt.Println("|---|---|---|")
	for _, t := range trials {
		if only != "" && !slices.Contains(strings.Split(only, ","), t.name) {
			continue
		}
		if err := t.make(binary, seconds, mixing); err != nil {
			return fmt.Errorf("%s: %w", t.name, err)
		}
	}
	return nil
}

// make starts what the trial needs, makes it and ends it.
func (t trial) make(binary string, seconds int, mixing time.Duration) error {
	if t.name == "stop" {
		return stops(&bench{out: os.Stdout}, binary)
	}
	s, err := start(binary, t.args...)
	if err != nil {
		return err
	}
	b := &bench{s, os.Stdout, seconds}
	if t.name == "mixed" {
		err = mixed(b, mixing)
	} else {
		err = t.run(b)
	}
	return errors.Join(err, s.stop())
}

// busy is how busy the machine is by itself.
func busy() string {
	text, _ := os.ReadFile("/proc/loadavg") // elsewhere it is only missing
	average, _, _ := strings.Cut(string(text), " ")
	return average
}
