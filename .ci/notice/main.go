// Command notice writes NOTICE, the licences of everything that is linked into
// the program: the standard library, and every module that a build of
// cmd/reedlark or of the engine in its pages contains on some system. Its argument
// is the top of the checkout. With -check it writes nothing and fails where NOTICE
// is out of date. It fails on a module without a licence, and on one whose licence
// asks for more than to be named.
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// builds are the programs that are shipped, and the systems they are shipped for.
var builds = []struct{ os, arch, program string }{
	{"linux", "amd64", "./cmd/reedlark"},
	{"darwin", "arm64", "./cmd/reedlark"},
	{"windows", "amd64", "./cmd/reedlark"},
	{"js", "wasm", "./cmd/engine"},
}

// copies are where NOTICE stands: for readers, and for the program to show.
var copies = []string{"NOTICE", "cmd/reedlark/NOTICE"}

const heading = `Reedlark is under the licence that comes first. It contains the work of others,
named below with their licences. Pages, scripts, styles and tunes in the program
are Reedlark's own. The container image has the certificates of public
authorities in it, as Debian's package ca-certificates collects them (MPL-2.0).
In the repository, for tests alone: axe-core (MPL-2.0), in api/web/testdata/axe.

Made by .ci/notice; do not edit.
`

func main() {
	check := flag.Bool("check", false, "fail where NOTICE is out of date")
	flag.Parse()
	if err := run(flag.Arg(0), *check); err != nil {
		fmt.Fprintln(os.Stderr, "notice:", err)
		os.Exit(1)
	}
}

func run(root string, check bool) error {
	text, err := notice(root)
	if err != nil {
		return err
	}
	for _, name := range copies {
		name = filepath.Join(root, name)
		there, err := os.ReadFile(name)
		switch {
		case err == nil && bytes.Equal(there, text):
		case check:
			return fmt.Errorf("%s is out of date: run go -C .ci/notice run . \"$PWD\"", name)
		default:
			if err := os.WriteFile(name, text, 0o644); err != nil {
				return err
			}
		}
	}
	return nil
}

// notice is the whole text: each licence once, under the names of all it is for.
func notice(root string) ([]byte, error) {
	found, err := licences(root)
	if err != nil {
		return nil, err
	}
	own, err := os.ReadFile(filepath.Join(root, "LICENSE"))
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	fmt.Fprintf(&out, "%s%s", heading, section([]string{"Reedlark"}, string(own)))
	texts := map[string][]string{} // names by text
	for name, list := range found {
		for _, text := range list {
			texts[text] = append(texts[text], name)
		}
	}
	order := make([]string, 0, len(texts))
	for text := range texts {
		slices.Sort(texts[text])
		order = append(order, text)
	}
	slices.SortFunc(order, func(a, b string) int {
		return strings.Compare(texts[a][0]+a, texts[b][0]+b)
	})
	for _, text := range order {
		out.WriteString(section(texts[text], text))
	}
	return out.Bytes(), nil
}

func section(names []string, text string) string {
	const rule = "\n----------------------------------------------------------------------\n"
	return rule + strings.Join(names, "\n") + "\n\n" + strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n")) + "\n"
}

// linked is a package that a build contains.
type linked struct {
	Dir      string
	Standard bool
	Module   *struct {
		Path, Version, Dir string
		Main               bool
	}
}

// licences are the texts for each module, by its name and version.
func licences(root string) (map[string][]string, error) {
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, err
	}
	top := strings.TrimSpace(string(goroot))
	std, err := readLicences(top, top)
	if err != nil {
		return nil, err
	}
	out := map[string][]string{"The Go standard library": std}
	for _, b := range builds {
		packages, err := list(root, b.os, b.arch, b.program)
		if err != nil {
			return nil, err
		}
		for _, p := range packages {
			if p.Standard || p.Module == nil || p.Module.Main {
				continue
			}
			name := p.Module.Path + " " + p.Module.Version
			texts, err := readLicences(p.Dir, p.Module.Dir)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			out[name] = append(out[name], texts...)
		}
	}
	for name, texts := range out {
		slices.Sort(texts)
		out[name] = slices.Compact(texts)
	}
	return out, nil
}

func list(root, goos, arch, program string) ([]linked, error) {
	cmd := exec.Command("go", "list", "-deps", "-json=Dir,Standard,Module", program)
	cmd.Dir = root
	cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+arch, "CGO_ENABLED=0")
	cmd.Stderr = os.Stderr
	text, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	var out []linked
	for d := json.NewDecoder(bytes.NewReader(text)); ; {
		var p linked
		err := d.Decode(&p)
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
}

var (
	licenceName = regexp.MustCompile(`(?i)^(un)?licen[cs]e|^copying|^notice|^patents`)
	copyleft    = regexp.MustCompile(`(?i)general public license|mozilla public license|eclipse public license|creative commons attribution-`)
)

// readLicences reads the licences that hold for a folder: its own, and those of the
// folders above it up to the top of its module.
func readLicences(folder, top string) ([]string, error) {
	var out []string
	for {
		entries, err := os.ReadDir(folder)
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			if !licenceName.MatchString(e.Name()) || !e.Type().IsRegular() || strings.HasSuffix(e.Name(), ".go") {
				continue
			}
			text, err := os.ReadFile(filepath.Join(folder, e.Name()))
			if err != nil {
				return nil, err
			}
			if copyleft.Match(text) {
				return nil, fmt.Errorf("%s asks for more than to be named", e.Name())
			}
			out = append(out, string(text))
		}
		if folder == top || folder == filepath.Dir(folder) {
			break
		}
		folder = filepath.Dir(folder)
	}
	if len(out) == 0 {
		return nil, errors.New("there is no licence")
	}
	return out, nil
}
