// Command vuln reads what govulncheck found, as JSON on standard input, and ends
// with 1 where the program calls something vulnerable that accepted.txt beside it
// does not explain, or where accepted.txt explains what is found no more. What the
// standard library suffers from is shown and lets pass: a newer Go mends it, not
// this project.
package main

import (
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
)

//go:embed accepted.txt
var accepted string

// message is what one of govulncheck's messages may hold.
type message struct {
	Finding *struct {
		OSV   string
		Fixed string `json:"fixed_version"`
		Trace []struct{ Module, Version, Function string }
	}
}

func main() {
	if err := judge(os.Stdin); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func judge(in io.Reader) error {
	reasons := explained()
	found, messages := map[string]bool{}, 0
	var bad []error
	for d := json.NewDecoder(in); ; messages++ {
		var m message
		err := d.Decode(&m)
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if m.Finding == nil || m.Finding.Trace[0].Function == "" || found[m.Finding.OSV] {
			continue // only what is called
		}
		f := m.Finding
		found[f.OSV] = true
		fmt.Printf("%s in %s %s, mended in %q: %s\n", f.OSV, f.Trace[0].Module, f.Trace[0].Version, f.Fixed, reasons[f.OSV])
		if f.Trace[0].Module != "stdlib" && reasons[f.OSV] == "" {
			bad = append(bad, fmt.Errorf("%s is called, and nothing explains it", f.OSV))
		}
	}
	for id := range reasons {
		if !found[id] {
			bad = append(bad, fmt.Errorf("%s is explained, and found no more", id))
		}
	}
	if messages == 0 {
		bad = append(bad, errors.New("nothing was checked"))
	}
	return errors.Join(bad...)
}

// explained are the findings that do no harm here, and why.
func explained() map[string]string {
	out := map[string]string{}
	for line := range strings.Lines(accepted) {
		if id, why, ok := strings.Cut(strings.TrimSpace(line), " "); ok && id != "#" {
			out[id] = why
		}
	}
	return out
}
