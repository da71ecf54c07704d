package api

import (
	"encoding/json"
	"math/big"

	"reedlark/openapi"
	"reedlark/tab/diag"
	"reedlark/tab/score"
)

// JSON writes an answer as both the command line and the HTTP interface send
// it: on one line, with a line end.
func JSON(answer any) ([]byte, error) {
	text, err := json.Marshal(answer)
	return append(text, '\n'), err
}

// diagnostics turns placed problems into their answer; never nil, so that JSON
// has a list.
func diagnostics(placed []diag.Diagnostic) []openapi.Diagnostic {
	out := make([]openapi.Diagnostic, len(placed))
	for i, d := range placed {
		out[i] = openapi.Diagnostic{
			Severity: openapi.DiagnosticSeverity(d.Severity), Code: openapi.Code(d.Code),
			Line: d.Line, Column: d.Column, Length: d.Length, Message: d.Message, Hint: d.Hint,
		}
	}
	return out
}

// answer is the score as JSON has it; lines, diagnostics and the exact length
// are the caller's to fill.
func answer(s *score.Score) openapi.Score {
	out := openapi.Score{
		Title:    s.Title,
		Harp:     openapi.ScoreHarp{Key: s.Harp.Key, Layout: s.Harp.Layout, Tuning: s.Harp.Tuning, A4: s.Harp.A4},
		Position: s.Position, SongKey: s.SongKey, Tempo: s.Tempo, Beats: beats(s.Beats), Seconds: s.Seconds,
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
			Player: openapi.BackingNotePlayer(b.Player), Name: b.Name, Midi: b.Midi, Hz: b.Hz,
			StartBeat: beats(b.StartBeat), Beats: beats(b.Beats), Start: b.Start, Seconds: b.Seconds,
		})
	}
	for _, c := range s.Chords {
		out.Chords = append(out.Chords, openapi.Chord{Symbol: c.Symbol, StartBeat: beats(c.StartBeat), Start: c.Start, Seconds: c.Seconds})
	}
	return out
}

func note(n score.Note) openapi.Note {
	out := openapi.Note{
		Line: n.Line, Column: n.Column, Length: n.Length, Text: n.Text,
		StartBeat: beats(n.StartBeat), Beats: beats(n.Beats), Start: n.Start, Seconds: n.Seconds,
		Role: openapi.NoteRole(n.Role), Shake: n.Shake, Voices: make([]openapi.Voice, len(n.Voices)),
	}
	for i, v := range n.Voices {
		out.Voices[i] = openapi.Voice{
			Hole: v.Hole, Breath: openapi.VoiceBreath(v.Breath), Technique: openapi.VoiceTechnique(v.Technique),
			Semitones: v.Semitones, Name: v.Name, Midi: v.Midi, Cents: v.Cents, Hz: v.Hz,
			FromHz: v.FromHz, GlideSeconds: v.GlideSeconds,
		}
	}
	return out
}

func beats(b *big.Rat) float64 {
	if b == nil {
		return 0
	}
	f, _ := b.Float64()
	return f
}
