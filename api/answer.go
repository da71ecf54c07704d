package api

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"reedlark/openapi"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/score"
)

// JSON writes an answer as both the command line and the HTTP interface send
// it: on one line, with a line end.
func JSON(answer any) ([]byte, error) {
	text, err := json.Marshal(answer)
	return append(text, '\n'), err
}

// mostOfAKind is how many diagnostics of one severity and code are listed: a page
// of commas would otherwise have megabytes of them.
const mostOfAKind = 1000

// diagnostics turns placed problems into their answer; never nil, so that JSON
// has a list. Of many of a kind the last one listed stands for those after it
// and says how many there are.
func diagnostics(placed []diag.Diagnostic) []openapi.Diagnostic {
	type kind struct {
		severity diag.Severity
		code     diag.Code
	}
	total, seen := map[kind]int{}, map[kind]int{}
	for _, d := range placed {
		total[kind{d.Severity, d.Code}] += d.Count
	}
	placed = apart(placed)
	out := make([]openapi.Diagnostic, 0, min(len(placed), mostOfAKind))
	for _, d := range placed {
		k := kind{d.Severity, d.Code}
		seen[k]++
		left := total[k] - mostOfAKind
		switch {
		case seen[k] > mostOfAKind+1:
			continue
		case seen[k] > mostOfAKind && left > 1:
			d.Message = fmt.Sprintf("From here on there are %d more of this kind (%s), which are not listed one by one.", left, d.Code)
			d.Hint = ""
		}
		out = append(out, openapi.Diagnostic{
			Severity: openapi.DiagnosticSeverity(d.Severity), Code: openapi.Code(d.Code),
			Line: d.Line, Column: d.Column, Length: d.Length, Message: d.Message, Hint: d.Hint,
		})
	}
	return out
}

// apart lists a diagnostic of many places once for each, in the order of the page.
func apart(placed []diag.Diagnostic) []diag.Diagnostic {
	out := make([]diag.Diagnostic, 0, len(placed))
	for _, d := range placed {
		places := d.Places
		if d.Count == 1 {
			places = []diag.Place{d.Place}
		}
		for _, d.Place = range places {
			out = append(out, d)
		}
		for range min(d.Count-len(places), 2) { // those that are not listed, so that they are counted
			out = append(out, d)
		}
	}
	slices.SortStableFunc(out, func(a, b diag.Diagnostic) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return out
}

// answer is the score as JSON has it; lines, diagnostics and the exact length
// are the caller's to fill.
func answer(s *score.Score) openapi.Score {
	out := openapi.Score{
		Title:    s.Title,
		Harp:     openapi.ScoreHarp{Key: s.Harp.Key, Layout: s.Harp.Layout, Tuning: s.Harp.Tuning, A4: s.Harp.A4},
		Position: s.Position, SongKey: s.SongKey, Tempo: s.Tempo, Beats: beats(s.Beats), Seconds: rounded(s.Seconds),
		Notes: make([]openapi.Note, len(s.Notes)),
	}
	if s.Metre != "" {
		out.Metre = &s.Metre
	}
	for i, n := range s.Notes {
		out.Notes[i] = note(n)
	}
	for _, b := range s.Backing {
		out.Backing = append(out.Backing, openapi.BackingNote{
			Player: openapi.BackingNotePlayer(b.Player), Name: b.Name, Midi: b.Midi, Hz: rounded(b.Hz),
			StartBeat: beats(b.StartBeat), Beats: beats(b.Beats), Start: rounded(b.Start), Seconds: rounded(b.Seconds),
		})
	}
	for _, c := range s.Chords {
		out.Chords = append(out.Chords, openapi.Chord{Symbol: c.Symbol, StartBeat: beats(c.StartBeat), Start: rounded(c.Start), Seconds: rounded(c.Seconds)})
	}
	return out
}

func note(n score.Note) openapi.Note {
	out := openapi.Note{
		Line: n.Line, Column: n.Column, Length: n.Length, Text: n.Text,
		StartBeat: beats(n.StartBeat), Beats: beats(n.Beats), Start: rounded(n.Start), Seconds: rounded(n.Seconds),
		Role: openapi.NoteRole(n.Role), Shake: n.Shake, Voices: make([]openapi.Voice, len(n.Voices)),
	}
	for i, v := range n.Voices {
		out.Voices[i] = openapi.Voice{
			Hole: v.Hole, Breath: openapi.VoiceBreath(v.Breath), Technique: openapi.VoiceTechnique(v.Technique),
			Semitones: v.Semitones, Name: v.Name, Midi: v.Midi, Cents: rounded(v.Cents), Hz: rounded(v.Hz),
			FromHz: rounded(v.FromHz), GlideSeconds: rounded(v.GlideSeconds),
		}
	}
	return out
}

func beats(b beat.Time) float64 { return rounded(b.Float()) }

// rounded drops the digits that only arithmetic left behind, under a billionth:
// 0.2 and not 0.19999999999999996.
func rounded(x float64) float64 { return math.Round(x*1e9) / 1e9 }
