// Command review draws a sheet of every articulation, to look at what cannot be
// heard in a test: spectrogram, pitch over the wanted pitch, level, colour.
//
//	go run ./testdata/review DIR [NOTE.wav]
//
// DIR gets a WAV and an SVG of each, and an index.html that shows and plays them
// all. Some are drawn played and plain, beside each other and, if a recorded note is
// given, beside that: a WAV file of one channel, which stays yours. An articulation
// that does not render is said at the end, which then is 1.
package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"html/template"
	"os"
	"path/filepath"

	_ "embed"

	"github.com/go-audio/wav"

	"reedlark/api"
	"reedlark/openapi"
	"reedlark/synth/measure/sheet"
)

//go:embed index.html
var index string

func main() {
	if len(os.Args) != 2 && len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: go run ./testdata/review DIR [NOTE.wav]")
		os.Exit(2)
	}
	if err := review(os.Args[1], os.Args[2:]); err != nil {
		fmt.Fprintln(os.Stderr, "review:", err)
		os.Exit(1)
	}
}

// review draws all articulations into a directory, and a recorded note if there is one.
func review(dir string, recorded []string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	var failed []error
	for _, a := range articulations {
		if err := a.draw(dir); err != nil {
			failed = append(failed, fmt.Errorf("%s: %w", a.name, err))
		}
	}
	for _, a := range beside {
		if err := drawBeside(a, dir); err != nil {
			failed = append(failed, err)
		}
	}
	for _, file := range recorded {
		if err := drawRecorded(file, dir); err != nil {
			failed = append(failed, fmt.Errorf("%s: %w", file, err))
		}
	}
	return errors.Join(append(failed, contents(dir, len(recorded) > 0))...)
}

// contents writes the page that shows the sheets.
func contents(dir string, recorded bool) error {
	type entry struct {
		Name, Look, Tab string
		Sheets          []string
	}
	var entries []entry
	for _, a := range beside {
		e := entry{a.name, a.look, a.tab, []string{a.name + "-played", a.name + "-plain"}}
		if recorded {
			e.Sheets = append(e.Sheets, "recorded")
		}
		entries = append(entries, e)
	}
	for _, a := range articulations {
		entries = append(entries, entry{a.name, a.look, a.tab, []string{a.name}})
	}
	var page bytes.Buffer
	if err := template.Must(template.New("index").Parse(index)).Execute(&page, entries); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "index.html"), page.Bytes(), 0o644)
}

// draw renders one articulation and writes its sound and its sheet.
func (a articulation) draw(dir string) error {
	sound, score, err := a.render()
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, a.name+".wav"), sound, 0o644); err != nil {
		return err
	}
	x, rate, err := samples(sound)
	if err != nil {
		return err
	}
	var drawing bytes.Buffer
	if err := sheet.Sheet(&drawing, x, rate, wanted(score)); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, a.name+".svg"), drawing.Bytes(), 0o644)
}

// render plays the articulation, dry unless it says otherwise.
func (a articulation) render() ([]byte, openapi.Score, error) {
	r := api.Defaults()
	r.Tab, r.Room, r.Depth = a.tab, 0, 24
	for i := 0; i < len(a.set); i += 2 {
		if err := r.Set(a.set[i], a.set[i+1]); err != nil {
			return nil, openapi.Score{}, err
		}
	}
	piece, err := api.Open(context.Background(), r)
	if err != nil {
		return nil, openapi.Score{}, err
	}
	score, err := piece.Score(context.Background())
	if err != nil {
		return nil, openapi.Score{}, err
	}
	sound, err := piece.Sound(context.Background())
	if err != nil {
		return nil, openapi.Score{}, err
	}
	var out bytes.Buffer
	err = sound.WriteTo(context.Background(), &out)
	return out.Bytes(), score, err
}

// samples reads a WAV of one channel.
func samples(file []byte) ([]float64, int, error) {
	d := wav.NewDecoder(bytes.NewReader(file))
	buf, err := d.FullPCMBuffer()
	if err != nil {
		return nil, 0, err
	}
	x := make([]float64, len(buf.Data))
	for i, v := range buf.Data {
		x[i] = float64(v) / float64(int(1)<<(buf.SourceBitDepth-1))
	}
	return x, buf.Format.SampleRate, nil
}

// wanted is every voice of a score.
func wanted(s openapi.Score) []sheet.Wanted {
	var out []sheet.Wanted
	for _, n := range s.Notes {
		for _, v := range n.Voices {
			out = append(out, sheet.Wanted{
				Start: n.Start, Seconds: n.Seconds, Text: n.Text,
				Hz: v.Hz, FromHz: v.FromHz, GlideSeconds: v.GlideSeconds, Shake: n.Shake,
			})
		}
	}
	return out
}
