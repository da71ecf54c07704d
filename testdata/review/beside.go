package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"reedlark/synth/measure"
	"reedlark/synth/measure/sheet"
)

// beside are pages that are drawn twice, played and plain, so that what a player adds
// can be seen.
var beside = []articulation{
	{"held", "Level, colour and pitch of a held note move, and it swells and falls; the plain one is a ruler.", "Tempo: 60\n4-------", nil},
	{"phrase", "Levels rise to a long high note and fall; the last note ends early and softly.", "Metre: 4/4\nTempo: 100\n4 -4 5 6 | -6 6 7- | -7 -6 6 5 | -4 5 4--", nil},
	{"rows", "Two equal rows: no two notes are alike.", "Tempo: 120\n4 5 6 5 4 -4 4-\n4 5 6 5 4 -4 4-", nil},
	{"swing", "A vibrato whose cycles differ, and whose colour goes along.", "Tempo: 60\n-4~-----", nil},
	{"chord", "Three reeds that speak one after the other.", "Tempo: 60\nr 123--- r", nil},
}

// phrasings are the two ways they are drawn.
var phrasings = []string{"played", "plain"}

// drawBeside draws one of them in both ways.
func drawBeside(a articulation, dir string) error {
	for _, phrasing := range phrasings {
		b := a
		b.name, b.set = a.name+"-"+phrasing, append([]string{"phrasing", phrasing}, a.set...)
		if err := b.draw(dir); err != nil {
			return fmt.Errorf("%s: %w", b.name, err)
		}
	}
	return nil
}

// drawRecorded draws a recorded note, a WAV file of one channel, to lie beside them.
func drawRecorded(file, dir string) error {
	sound, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	x, rate, err := samples(sound)
	if err != nil {
		return err
	}
	seconds := float64(len(x)) / float64(rate)
	note := sheet.Wanted{Seconds: seconds, Hz: measure.Pitch(measure.Cut(x, rate, 0.3*seconds, 0.7*seconds), rate), Text: "recorded"}
	var drawing bytes.Buffer
	if err := sheet.Sheet(&drawing, x, rate, []sheet.Wanted{note}); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, "recorded.wav"), sound, 0o644); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "recorded.svg"), drawing.Bytes(), 0o644)
}
