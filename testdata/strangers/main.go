// Command strangers reads the pages beside it, which were written by somebody who
// did not know how Reedlark reads, and compares what is played with what their
// writer meant. It prints a table; with the name of a page it shows that page.
//
//	go run ./testdata/strangers [PAGE]
package main

import (
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"reedlark/api"
	"reedlark/openapi"
	"reedlark/tab/diag"
)

//go:embed intended.json
var intended []byte

// page is what the writer of a page meant. Notes are written 4 (blow), -4 (draw),
// with ' for a semitone of bend and o for an over, and [1 2 3] for a chord.
type page struct {
	ID, Category, Notes string
	Once                string   // the notes without the repeats
	Or                  []string // other readings that are right too
	Want                string   // read, ask, or read or ask
	Why                 string
}

// The classes of a reading, the best first.
const (
	exact   = "exact"
	asked   = "asked"
	refused = "refused"
	warned  = "wrong, warned"
	silent  = "wrong in silence"
)

func main() {
	pages, err := load()
	if err != nil {
		fmt.Fprintln(os.Stderr, "strangers:", err)
		os.Exit(1)
	}
	if len(os.Args) > 1 {
		show(pages, os.Args[1])
		return
	}
	count := map[string]int{}
	for _, p := range pages {
		class, _, _ := p.read("testdata/strangers")
		count[class]++
	}
	for _, class := range []string{exact, asked, refused, warned, silent} {
		fmt.Printf("%-18s %4d of %d\n", class, count[class], len(pages))
	}
}

func load() ([]page, error) {
	var pages []page
	err := json.Unmarshal(intended, &pages)
	return pages, err
}

func show(pages []page, name string) {
	for _, p := range pages {
		if !strings.HasPrefix(p.ID, name) {
			continue
		}
		class, played, said := p.read("testdata/strangers")
		fmt.Printf("%s: %s\nmeant  %s\nplayed %s\n", p.ID, class, p.Notes, played)
		for _, d := range said {
			fmt.Printf("  %d:%d %s %s: %s\n", d.Line, d.Column, d.Severity, d.Code, d.Message)
		}
	}
}

// read reads the page below a folder and says how well.
func (p page) read(folder string) (class, played string, said []diag.Diagnostic) {
	text, err := os.ReadFile(filepath.Join(folder, "pages", p.ID+".txt"))
	if err != nil {
		return silent, err.Error(), nil
	}
	req := api.Defaults()
	if err := req.Set("tab", string(text)); err != nil {
		return refused, err.Error(), nil
	}
	piece, err := api.Open(context.Background(), req)
	var wrong *api.TabError
	if errors.As(err, &wrong) {
		return p.whenRefused(), "", wrong.Diagnostics
	}
	score, err := piece.Score(context.Background())
	if err != nil {
		return silent, err.Error(), nil
	}
	played = notes(score)
	return p.judge(played, score.Diagnostics), played, score.Diagnostics
}

func (p page) whenRefused() string {
	if p.Want == "ask" {
		return asked
	}
	return refused
}

// judge compares what is played with what was meant. A page that needs a question
// is well read only where one is asked.
func (p page) judge(played string, said []diag.Diagnostic) string {
	warns := slices.ContainsFunc(said, func(d diag.Diagnostic) bool { return d.Severity == diag.Warning })
	right := slices.Contains(append(p.Or, p.Notes), played)
	switch {
	case p.Want == "ask" && warns:
		return asked
	case right && p.Want != "ask":
		return exact
	case warns && p.Want == "read or ask":
		return asked
	case warns:
		return warned
	}
	return silent
}

// notes are those of a score in the writer's spelling, slides left out.
func notes(score openapi.Score) string {
	var out []string
	for _, n := range score.Notes {
		if n.Role == openapi.NoteRoleSlide {
			continue
		}
		var voices []string
		for _, v := range n.Voices {
			voices = append(voices, voice(v))
		}
		slices.Sort(voices)
		word := strings.Join(voices, " ")
		if len(voices) > 1 {
			word = "[" + word + "]"
		}
		out = append(out, word)
	}
	return strings.Join(out, " ")
}

func voice(v openapi.Voice) string {
	word := fmt.Sprint(v.Hole)
	if v.Breath == openapi.VoiceBreathDraw {
		word = "-" + word
	}
	switch v.Technique {
	case openapi.VoiceTechniqueBend:
		word += strings.Repeat("'", v.Semitones)
	case openapi.VoiceTechniqueOver:
		word += "o"
	}
	return word
}
