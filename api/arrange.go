//go:build !js

package api

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"reedlark/api/format/abc"
	"reedlark/api/format/midi"
	"reedlark/api/format/musicxml"
	"reedlark/openapi"
	"reedlark/tab/arrange"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// MaxScore is the largest score file, bytes.
const MaxScore = 2 << 20

// The media types of score files.
const (
	MediaMusicXML = "application/vnd.recordare.musicxml+xml"
	MediaMXL      = "application/vnd.recordare.musicxml"
	MediaABC      = "text/vnd.abc"
	MediaMIDI     = "audio/midi"
)

// ScoreMedia lists the media types of score files.
func ScoreMedia() []string { return []string{MediaMusicXML, MediaMXL, MediaABC, MediaMIDI} }

// ScoreFile is a score as it came in.
type ScoreFile struct {
	Data  []byte // at most MaxScore
	Media string // one of ScoreMedia; "" to tell by its content
}

// Arrange puts the melody of a score on a harp. It stops when ctx ends. The error
// is a *ScoreError where the file is at fault, and a *CallError where the settings
// are.
func Arrange(ctx context.Context, s Search, f ScoreFile) (*openapi.Arrangement, error) {
	if len(f.Data) > MaxScore {
		return nil, &CallError{Kind: TooLarge, Detail: "the score is too large: it may be 2 MiB"}
	}
	parts, tunes, err := f.read(s.Tune)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	t, err := melody.Choose(parts, s.Part)
	if err != nil {
		return nil, choosing(err, s.Part)
	}
	out, err := arranged(ctx, s, t)
	if err != nil {
		return nil, err
	}
	out.Part, out.Tunes = t.Part, tunes
	return out, nil
}

// choosing says what is wrong with a part that is asked for, or with a file
// without a melody.
func choosing(err error, part string) error {
	if errors.Is(err, melody.ErrNoMelody) || part == "" {
		return &ScoreError{err.Error()}
	}
	return &CallError{Kind: NotAllowed, Parameter: "part", Detail: err.Error()}
}

// arranged puts a tune on the easiest harp.
func arranged(ctx context.Context, s Search, t *melody.Tune) (*openapi.Arrangement, error) {
	o, err := s.options(t)
	if err != nil {
		return nil, err
	}
	ways := arrange.Ways(t, o)
	if len(ways) == 0 {
		return nil, &CallError{Kind: NotAllowed, Parameter: "in_position", Allowed: "a position that one of the harps has", Detail: "none of the harps plays the song in position " + strconv.Itoa(s.InPosition)}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	page, err := arrange.Write(t, ways[0], o)
	switch {
	case errors.Is(err, arrange.ErrTooLong):
		return nil, &ScoreError{fmt.Sprintf("the tune is too long for one page: a page has %d KiB of text and %d notes; cut the file in two", MaxTab>>10, MaxNotes)}
	case errors.Is(err, arrange.ErrNothing):
		return nil, &ScoreError{"the harp in " + ways[0].Harp.Key.String() + " has none of the notes; choose another harp or octave"}
	case err != nil:
		return nil, err
	}
	w := ways[0]
	out := &openapi.Arrangement{
		Tab: page.Text, Key: harp.KeyNames()[arrange.Song(t, o)%12], Harp: w.Harp.Key.String(), Position: w.Position, Octave: w.Octave,
		Ways: []openapi.Way{}, Lost: []openapi.Lost{}, Diagnostics: arrangedDiagnostics(page),
	}
	for _, w := range ways[:min(len(ways), s.Limit)] {
		out.Ways = append(out.Ways, newWay(t, w, o))
	}
	for _, l := range page.Lost {
		out.Lost = append(out.Lost, openapi.Lost{Bar: l.Bar, What: l.What})
	}
	return out, nil
}

// arrangedDiagnostics says of a page what was taken and left out, and which notes
// it lacks.
func arrangedDiagnostics(page *arrange.Page) []diag.Diagnostic {
	var list diag.List
	for _, said := range page.Said {
		at := max(strings.Index(page.Text, "# "+said), 0)
		list.Add(diag.Note, diag.ScoreRead, diag.Span{Start: at, End: at + len("# ") + len(said)}, "", sentence(said))
	}
	for _, l := range page.Lost {
		list.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.NoteLost, Span: l.Span,
			Message: "Bar {bar}: the harp in {harp} has no {note}, so a rest stands here.",
			Hint:    "Play it in another octave, or choose another harp.",
			Values:  diag.Values{diag.Text("bar", l.Bar), diag.Text("harp", page.Way.Harp.Key.String()), diag.Text("note", l.What)},
			Edits:   func(e *diag.Editor) { offerOctaves(e, l) },
		})
	}
	placed := diag.NewSource(page.Text).PlaceAll(list)
	if placed == nil {
		placed = []diag.Diagnostic{}
	}
	return placed
}

// offerOctaves offers the note an octave up or down, where the harp has it.
func offerOctaves(e *diag.Editor, l arrange.Loss) {
	if l.Up != "" {
		e.Offer("Play "+l.What+" an octave higher", diag.Change{Span: l.Span, Text: l.Up})
	}
	if l.Down != "" {
		e.Offer("Play "+l.What+" an octave lower", diag.Change{Span: l.Span, Text: l.Down})
	}
}

// sentence begins with a capital and ends with a full stop.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// read reads the parts of a file; of a book those of one tune.
func (f ScoreFile) read(tune int) (parts []*melody.Tune, tunes []openapi.BookTune, err error) {
	tunes = []openapi.BookTune{}
	switch media := cmp.Or(f.Media, f.sniff()); media {
	case MediaMIDI:
		parts, err = midi.Read(f.Data)
	case MediaMusicXML, MediaMXL:
		parts, err = musicxml.Read(f.Data)
	case MediaABC:
		return f.readBook(tune)
	default:
		return nil, nil, &CallError{Kind: WrongMedia, Detail: "a score has the media type " + strings.Join(ScoreMedia(), ", or ")}
	}
	if err != nil {
		return nil, nil, &ScoreError{err.Error()}
	}
	return parts, tunes, nil
}

// sniff tells what a file is by how it begins.
func (f ScoreFile) sniff() string {
	text := bytes.TrimLeft(bytes.TrimPrefix(f.Data, []byte("\xef\xbb\xbf")), " \t\r\n")
	switch {
	case bytes.HasPrefix(f.Data, []byte("MThd")):
		return MediaMIDI
	case bytes.HasPrefix(f.Data, []byte("PK")):
		return MediaMXL
	case bytes.HasPrefix(text, []byte("<")), bytes.HasPrefix(f.Data, []byte{0xff, 0xfe}), bytes.HasPrefix(f.Data, []byte{0xfe, 0xff}), bytes.HasPrefix(f.Data, []byte{0, '<'}):
		return MediaMusicXML
	}
	return MediaABC
}

// Tunes lists the tunes of a book; none for a file of another kind. The error is a
// *ScoreError.
func (f ScoreFile) Tunes() ([]openapi.BookTune, error) {
	if cmp.Or(f.Media, f.sniff()) != MediaABC {
		return []openapi.BookTune{}, nil
	}
	book, err := abc.Book(f.Data)
	if err != nil {
		return nil, &ScoreError{err.Error()}
	}
	return bookTunes(book), nil
}

// bookTunes gives every tune a number: what stands after X:, and its place in the
// book where that is no number or is taken.
func bookTunes(book []abc.Entry) []openapi.BookTune {
	taken := map[int]bool{}
	out := make([]openapi.BookTune, len(book))
	for i, e := range book {
		n, err := strconv.Atoi(e.Number)
		if err != nil || n < 1 || n > maxTune || taken[n] {
			for n = i + 1; taken[n]; n++ {
			}
		}
		taken[n] = true
		out[i] = openapi.BookTune{Number: n, Title: e.Title}
	}
	return out
}

func (f ScoreFile) readBook(tune int) ([]*melody.Tune, []openapi.BookTune, error) {
	book, err := abc.Book(f.Data)
	if err != nil {
		return nil, nil, &ScoreError{err.Error()}
	}
	tunes := bookTunes(book)
	at := 0
	if tune > 0 {
		at = slices.IndexFunc(tunes, func(t openapi.BookTune) bool { return t.Number == tune })
	}
	if at < 0 {
		return nil, nil, &CallError{Kind: NotAllowed, Parameter: "tune", Allowed: numbers(tunes), Detail: fmt.Sprintf("there is no tune %d in this book", tune)}
	}
	return abc.Read(book[at]), tunes, nil
}

// numbers lists the first few numbers of a book.
func numbers(tunes []openapi.BookTune) string {
	const most = 20
	var out []string
	for _, t := range tunes[:min(len(tunes), most)] {
		out = append(out, strconv.Itoa(t.Number))
	}
	if len(tunes) > most {
		out = append(out, "…")
	}
	return "one of " + strings.Join(out, ", ")
}

// Cost is about what it costs to arrange a file. ref: BenchmarkArrange.
func (f ScoreFile) Cost() time.Duration {
	const perFile, perByte = 2000, 0.8
	return us(perFile + perByte*float64(len(f.Data)))
}
