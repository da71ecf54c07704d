package api

import (
	"encoding/json"
	"math"

	"reedlark/openapi"
	"reedlark/tab/beat"
	"reedlark/tab/score"
)

// JSON writes an answer as both the command line and the HTTP interface send
// it: on one line, with a line end.
func JSON(answer any) ([]byte, error) {
	text, err := json.Marshal(answer)
	return append(text, '\n'), err
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
