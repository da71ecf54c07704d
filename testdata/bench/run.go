package main

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"syscall"
)

// cost is what one process took.
type cost struct {
	seconds float64 // of processor time, user and system, start-up included
	memory  float64 // MiB, the most it held
}

// engine is one way to turn the tune into a WAV file.
type engine struct {
	name string
	args []string
	out  string
}

// peers is how many of the engines, the first, the others are compared with.
const peers = 2

// engines are the peers, first, and what is compared with them.
func engines(dir, reedlark string, notes int) ([]engine, error) {
	t := newTune(notes)
	at := func(name string) string { return filepath.Join(dir, name) }
	files := map[string]string{"tune.txt": t.tab(), "table.orc": orchestra, "tune.sco": t.score()}
	for name, text := range files {
		if err := os.WriteFile(at(name), []byte(text), 0o644); err != nil {
			return nil, err
		}
	}
	peer := []string{"csound", "-d", "-m0", "-W", "-s", "-o", at("csound.wav"), at("table.orc"), at("tune.sco")}
	return []engine{
		{"csound, one static table, blocks of 10", peer, at("csound.wav")},
		{"csound, one static table, blocks of 64", append(slices.Clone(peer), "--ksmps=64"), at("csound.wav")},
		{"reedlark, room 0", []string{reedlark, "render", at("tune.txt"), "--room", "0", "-o", at("dry.wav")}, at("dry.wav")},
		{"reedlark, default room", []string{reedlark, "render", at("tune.txt"), "-o", at("room.wav")}, at("room.wav")},
	}, nil
}

// run renders once and checks that the file holds at least so many seconds.
func (e engine) run(seconds float64) (cost, error) {
	if err := os.Remove(e.out); err != nil && !errors.Is(err, os.ErrNotExist) {
		return cost{}, err
	}
	cmd := exec.Command(e.args[0], e.args[1:]...)
	if said, err := cmd.CombinedOutput(); err != nil {
		return cost{}, fmt.Errorf("%s: %w\n%s", e.name, err, said)
	}
	got, err := length(e.out)
	if err == nil && got < seconds-0.5 {
		err = fmt.Errorf("it has %.2f s of sound, wanted %.2f", got, seconds)
	}
	if err != nil {
		return cost{}, fmt.Errorf("%s: %s: %w", e.name, e.out, err)
	}
	usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	if !ok {
		return cost{}, errors.New("this system does not say what a process used")
	}
	took := cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	return cost{took.Seconds(), float64(usage.Maxrss) / 1024}, nil
}

// length is how many seconds of sound a WAV file with a 44-byte header holds; the
// file must be as long as its header says. It reads the header alone: a process is
// counted as holding at least what its parent held when it began.
func length(name string) (float64, error) {
	f, err := os.Open(name)
	if err != nil {
		return 0, err
	}
	defer func() { _ = f.Close() }()
	var b [44]byte
	info, err := f.Stat()
	if _, short := io.ReadFull(f, b[:]); err != nil || short != nil || string(b[:4]) != "RIFF" ||
		int64(binary.LittleEndian.Uint32(b[4:]))+8 != info.Size() {
		return 0, errors.New("no whole RIFF file")
	}
	return float64(info.Size()-44) / float64(binary.LittleEndian.Uint32(b[28:])), nil
}

// series runs every engine in turn, round after round, so that what slows the
// machine for a while slows them all.
func series(all []engine, rounds int, seconds float64) ([][]cost, error) {
	costs := make([][]cost, len(all))
	for round := range rounds + 1 {
		for i, e := range all {
			c, err := e.run(seconds)
			if err != nil {
				return nil, err
			}
			if round > 0 { // the first round warms the caches of the disk
				costs[i] = append(costs[i], c)
			}
		}
	}
	return costs, nil
}

// median of one figure of many costs.
func median(costs []cost, figure func(cost) float64) float64 {
	values := make([]float64, len(costs))
	for i, c := range costs {
		values[i] = figure(c)
	}
	slices.Sort(values)
	return (values[(len(values)-1)/2] + values[len(values)/2]) / 2
}
