// Command bench renders the same tune with Reedlark and with csound, each as a
// whole process, start-up included, in turn, and prints what they cost:
//
//	go run ./testdata/bench            # 60 s and 600 s, 11 rounds
//	go run ./testdata/bench -rounds 21
//
// It needs csound (Debian: apt-get install csound). It builds Reedlark itself. The
// tune is 120 single notes a minute of an invented wandering on a C harp; both
// write mono WAV at 48,000 frames a second and 16 bits. Csound reads one static
// table and moves nothing but the level, in blocks of 10 frames (its own default) and
// of 64 (faster). Ratios are of medians of processor time.
// If anything fails to render, it says so and ends with 1.
package main

import (
	_ "embed"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
)

//go:embed table.orc
var orchestra string

func main() {
	rounds := flag.Int("rounds", 11, "how often each engine renders each length, 9 at least")
	binary := flag.String("reedlark", "", "a built program; none builds ./cmd/reedlark")
	flag.Parse()
	if err := bench(max(*rounds, 9), *binary); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func bench(rounds int, binary string) error {
	dir, err := os.MkdirTemp("", "bench")
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
	fmt.Printf("%s, %d processors, %s, %s; medians of %d rounds in turn\n\n",
		processor(), runtime.NumCPU(), runtime.Version(), csound(), rounds)
	fmt.Println("| sound | engine | CPU time | to csound 10 | to csound 64 | peak memory |")
	fmt.Println("|---|---|---|---|---|---|")
	for _, seconds := range []int{1, 60, 600} {
		if err := compare(dir, binary, seconds, rounds); err != nil {
			return err
		}
	}
	return nil
}

// compare prints the rows of one length of sound.
func compare(dir, binary string, seconds, rounds int) error {
	all, err := engines(dir, binary, 2*seconds)
	if err != nil {
		return err
	}
	costs, err := series(all, rounds, float64(seconds))
	if err != nil {
		return err
	}
	processor := func(c cost) float64 { return c.seconds }
	memory := func(c cost) float64 { return c.memory }
	for i, e := range all {
		took := median(costs[i], processor)
		fmt.Printf("| %d s, %d notes | %s | %.1f ms |", seconds, 2*seconds, e.name, took*1000)
		for _, peer := range costs[:peers] {
			fmt.Printf(" %.2f |", took/median(peer, processor))
		}
		fmt.Printf(" %.1f MiB |\n", median(costs[i], memory))
	}
	return nil
}

// processor is the name of the machine's processor, as far as Linux tells it.
func processor() string {
	info, _ := os.ReadFile("/proc/cpuinfo") // elsewhere the name is only missing
	if m := regexp.MustCompile(`model name\s*:\s*(.*)`).FindSubmatch(info); m != nil {
		return string(m[1])
	}
	return runtime.GOOS + "/" + runtime.GOARCH
}

// csound is its name and version.
func csound() string {
	said, _ := exec.Command("csound", "--version").CombinedOutput() // a missing one fails later, by name
	if m := regexp.MustCompile(`Csound version ([\d.]+)`).FindSubmatch(said); m != nil {
		return "csound " + string(m[1])
	}
	return "csound of unknown version"
}
