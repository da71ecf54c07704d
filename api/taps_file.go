//go:build !js

package api

import (
	"bytes"
	"context"
	"fmt"

	"reedlark/api/format/midi"
	"reedlark/tab/rhythm"
)

// MaxTapsFile is how large a file of taps may be, in bytes.
const MaxTapsFile = 2 << 20

// RhythmFromFile reads a file of taps for the page of a request: a list of taps as
// JSON, a whole JSON request for a rhythm, whose parameters count where the request
// was not given them, or a MIDI file of the line as played. The error is a
// *CallError, or a *TabError where the page is at fault.
func (d *Door) RhythmFromFile(ctx context.Context, req Request, given map[string]bool, file []byte) (RhythmRequest, error) {
	q := RhythmRequest{Request: req, Whole: true}
	text := bytes.TrimSpace(bytes.TrimPrefix(file, []byte("\ufeff")))
	switch {
	case len(file) > MaxTapsFile:
		return q, &CallError{Kind: TooLarge, Parameter: "taps", Detail: "the file of taps is too large: it may be 2 MiB"}
	case bytes.HasPrefix(file, []byte("MThd")):
		err := d.playedLine(ctx, &q, file)
		return q, err
	case bytes.HasPrefix(text, []byte("[")):
		text = append(append([]byte(`{"taps":`), text...), '}')
	case !bytes.HasPrefix(text, []byte("{")):
		return q, malformed("taps", "this is neither a list of taps, nor a request in JSON, nor a MIDI file")
	}
	err := q.fill(text, given)
	return q, err
}

// fill takes taps and, where they are not given, parameters from a JSON object.
func (q *RhythmRequest) fill(object []byte, given map[string]bool) error {
	own, others, err := splitRhythm(object)
	if err != nil {
		return err
	}
	pairs, err := splitJSON(others)
	if err != nil {
		return err
	}
	if err := known(pairs, names()); err != nil {
		return err
	}
	for _, p := range present(pairs) {
		switch {
		case p.name == "tab" && p.value.text != q.Tab:
			return &CallError{Kind: NotAllowed, Parameter: "tab", Detail: "the file of taps is for another page: its tab is not this one"}
		case p.name == "tab" || given[p.name]:
			continue
		}
		if err := q.set(p.name, p.value); err != nil {
			return err
		}
	}
	return q.own(own)
}

// playedLine takes a MIDI file for taps: of all that is played, or of the first pass
// of each row.
func (d *Door) playedLine(ctx context.Context, q *RhythmRequest, file []byte) error {
	line, err := midi.Line(file)
	if err != nil {
		return malformed("taps", "%s", err)
	}
	open := q.Request
	open.From, open.To, open.Strict = Edge{}, Edge{}, false
	piece, err := d.Open(ctx, open)
	if err != nil {
		return err
	}
	var all, first []rhythm.Play
	for _, p := range rhythm.Read(piece.doc, q.Tab).Plays {
		all = append(all, p)
		if p.Pass == 1 {
			first = append(first, p)
		}
	}
	plays := all
	if len(line) == len(first) {
		plays = first
	}
	if len(line) != len(plays) {
		want := fmt.Sprintf("%d notes", len(all))
		if len(first) < len(all) {
			want += fmt.Sprintf(", or %d without what is played again", len(first))
		}
		return &CallError{Kind: NotAllowed, Parameter: "taps", Allowed: want, Detail: fmt.Sprintf("the MIDI file plays %d notes, but the page has %s", len(line), want)}
	}
	for i, n := range line {
		q.Taps = append(q.Taps, Tap{Note: plays[i].Note, Pass: plays[i].Pass, At: n.At, Until: n.Until})
	}
	return nil
}
