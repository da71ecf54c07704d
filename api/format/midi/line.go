package midi

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"

	"gitlab.com/gomidi/midi/v2/smf"
)

// Played is one note of a line as somebody played it, or some that began together.
// Times are seconds from the start of the file.
type Played struct{ At, Until float64 }

// sameTime is how far the notes of a chord may begin from each other, in seconds: a
// hand that means one chord. by ear.
const sameTime = .04

// Line reads the line of a Standard MIDI File as it was played: the notes of the
// channel and track that has most of them, the drums apart. The error says what is
// wrong with the file.
func Line(file []byte) (line []Played, err error) {
	defer func() {
		if fault := recover(); fault != nil { // of the library, on a broken file
			line, err = nil, fmt.Errorf("the MIDI file is broken")
		}
	}()
	const division = 12 // where the head says what a tick is
	if len(file) > division && file[division] >= 0x80 {
		return nil, fmt.Errorf("the MIDI file counts frames of SMPTE, which is not read: write it with ticks a quarter note")
	}
	read, err := smf.ReadFrom(bytes.NewReader(file))
	if err != nil {
		return nil, fmt.Errorf("the MIDI file is broken: %w", err)
	}
	clock := func(ticks int64) float64 { return float64(read.TimeAt(ticks)) / 1e6 }
	var most []Played
	for _, track := range read.Tracks {
		for _, notes := range byChannel(track, clock) {
			if len(notes) > len(most) {
				most = notes
			}
		}
	}
	if len(most) == 0 {
		return nil, fmt.Errorf("the MIDI file has no notes")
	}
	return chords(most), nil
}

// byChannel are the notes of each channel of a track.
func byChannel(track smf.Track, clock func(int64) float64) (out [16][]Played) {
	sounding := map[[2]uint8]int{}
	ticks := int64(0)
	for _, e := range track {
		ticks += int64(e.Delta)
		var channel, key, velocity uint8
		switch {
		case e.Message.GetNoteStart(&channel, &key, &velocity) && channel != drums:
			sounding[[2]uint8{channel, key}] = len(out[channel])
			out[channel] = append(out[channel], Played{At: clock(ticks)})
		case e.Message.GetNoteEnd(&channel, &key):
			if i, is := sounding[[2]uint8{channel, key}]; is {
				out[channel][i].Until = clock(ticks)
				delete(sounding, [2]uint8{channel, key})
			}
		}
	}
	return out
}

// chords makes one of notes that begin together.
func chords(notes []Played) []Played {
	slices.SortStableFunc(notes, func(a, b Played) int { return cmp.Compare(a.At, b.At) })
	out := notes[:1]
	for _, n := range notes[1:] {
		if last := &out[len(out)-1]; n.At-last.At < sameTime {
			last.Until = max(last.Until, n.Until)
			continue
		}
		out = append(out, n)
	}
	for i := range out {
		if out[i].Until <= out[i].At {
			out[i].Until = 0
		}
	}
	return out
}
