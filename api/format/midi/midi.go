// Package midi writes a score as a Standard MIDI File, for sequencers, notation
// programs and synthesizers.
//
// A note of the file is a pitch that sounds, at the time it sounds, swing
// included. Whatever moves a pitch is the pitch wheel: bends, slides on one
// hole, falls, and the cents by which a tuning or a pitch of A4 other than 440
// Hz lies off. A channel has one wheel, so each voice of a chord has a channel
// of its own, the same one throughout. Holes that are passed in a slide are
// short notes. A shake of two holes holds both notes and lets their levels take
// turns; one of a single hole is the modulation wheel. Brackets and accents are
// velocities. What plays along has a track for each player.
//
// What MIDI counts in quarters counts the beats of the page here: 960 ticks and
// 24 clocks are one beat, and the tempo is the page's. Where a beat is no
// quarter, in 6/8 say, the time signature tells, in its last byte, how the beat
// is to be written. The file starts at the bar line before the first note, so
// beats and bars lie on the grid of whoever opens it; a count-in and the clicks
// of a metronome have no pitch and are left out.
//
// ref: MIDI Manufacturers Association, Standard MIDI Files 1.0 (RP-001).
package midi

import (
	"bytes"
	"context"
	"fmt"
	"math"

	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"reedlark/tab/score"
)

// TicksPerBeat is the resolution of the file.
const TicksPerBeat = 960

// Words is what the score does not know: how the page is cut into bars, and
// what is sung to it.
type Words struct {
	Pickup float64  // beats before the first whole bar; 0 for none
	Lyrics []string // one for each note of the score, "" for none; or nil
}

// Write makes the file. It fails on a score that no file can hold: a time that
// is not finite, or one past what ticks can count; and when ctx ends.
func Write(ctx context.Context, sc *score.Score, w Words) ([]byte, error) {
	clock, err := newClock(sc, w.Pickup)
	if err != nil {
		return nil, err
	}
	file := smf.NewSMF1()
	file.TimeFormat = smf.MetricTicks(TicksPerBeat)
	tracks := []smf.Track{heading(sc, clock)}
	if len(sc.Notes) > 0 || len(sc.Backing) == 0 {
		tune, err := harp(ctx, sc, clock, w.Lyrics)
		if err != nil {
			return nil, err
		}
		tracks = append(tracks, tune)
	}
	for _, t := range append(tracks, backing(sc, clock)...) {
		if err := file.Add(t); err != nil {
			return nil, fmt.Errorf("midi: %w", err)
		}
	}
	var out bytes.Buffer
	if _, err := file.WriteTo(&out); err != nil {
		return nil, fmt.Errorf("midi: %w", err)
	}
	return out.Bytes(), nil
}

// heading is the first track: the title of the whole, its tempo and its metre.
func heading(sc *score.Score, c clock) smf.Track {
	var t smf.Track
	if sc.Title != "" {
		t.Add(0, smf.MetaTrackSequenceName(sc.Title))
	}
	t.Add(0, smf.MetaTempo(sc.Tempo))
	if sc.Metre != "" {
		t.Add(0, timeSignature(c.beats, c.unit))
	}
	t.Close(uint32(c.end))
	return t
}

// The clocks and the 32nd notes of a MIDI quarter.
const (
	clocksPerBeat = 24
	thirtySeconds = 32
)

// timeSignature says what a bar is, that a click is a beat, and how many 32nd
// notes the beat is written as.
func timeSignature(beats, unit int) smf.Message {
	return smf.MetaTimeSig(uint8(beats), uint8(unit), clocksPerBeat, uint8(thirtySeconds/unit))
}

// harp is the second track: the notes.
func harp(ctx context.Context, sc *score.Score, c clock, lyrics []string) (smf.Track, error) {
	p := &player{clock: c, reach: reach(sc.Notes)}
	for i := range sc.Notes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if i < len(lyrics) && lyrics[i] != "" {
			p.add(c.tick(sc.Notes[i].Start), words, smf.MetaLyric(lyrics[i]))
		}
		p.note(&sc.Notes[i])
	}
	p.release(math.MaxInt64)
	p.setUp("Harmonica in " + sc.Harp.Key)
	return p.track(), nil
}

// program is the harmonica of General MIDI, counted from 0. ref: General MIDI
// System Level 1, sound set, program 23.
const program = 22

// setUp chooses the instrument on every channel that is used, and how far its
// wheel reaches.
func (p *player) setUp(name string) {
	p.add(0, first, smf.MetaTrackSequenceName(name))
	for i, used := range p.used {
		if !used {
			continue
		}
		ch := uint8(i)
		p.add(0, first, smf.Message(gomidi.ProgramChange(ch, program)))
		for _, cc := range wheelRange(p.reach) {
			p.add(0, first, smf.Message(gomidi.ControlChange(ch, cc[0], cc[1])))
		}
	}
}
