// Package abc reads tunes written in ABC, the notation for folk tunes in plain
// text.
//
// A book is tunes one after another, each headed by X: and ended by an empty
// line. A tune is a header of fields (T: title, M: metre, L: unit of length, Q:
// tempo), ended by K:, the key, and then lines of music: letters are notes, |
// bar lines, "Am" chord symbols. A line that begins with w: has the words for
// the music above it. Voices (V:) are parts of their own.
//
// People write ABC in many dialects. What the standard does not know is passed
// over and named in the tune's remarks, with its line; nothing stops the rest
// from being read.
//
// ref: ABC notation standard, version 2.1, 2011.
package abc

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"reedlark/tab/melody"
)

// Entry is a tune of a book, unread.
type Entry struct {
	Number string // after X:, as typed
	Title  string // its first T:, "" for none
	line   int    // the one with X:
	lines  []string
	common []string // fields before the first tune
}

// ErrNoTune is for a text without a tune.
var ErrNoTune = errors.New("there is no tune in this file: an ABC tune begins with a line such as X:1 and has its key in a line such as K:C")

// Book lists the tunes of a file. A file that has no X: but a K: is one tune. The
// error is ErrNoTune.
func Book(data []byte) ([]Entry, error) {
	var book []Entry
	var common []string
	lines := split(data)
	for i := 0; i < len(lines); i++ {
		if !isField(lines[i], 'X') {
			if len(book) == 0 {
				common = append(common, lines[i])
			}
			continue
		}
		end := i + 1
		for end < len(lines) && strings.TrimSpace(lines[end]) != "" && !isField(lines[end], 'X') {
			end++
		}
		book = append(book, entry(lines[i:end], i+1, common))
		i = end - 1
	}
	if len(book) == 0 {
		return bare(lines)
	}
	return book, nil
}

// bare is a file without X:, as one tune.
func bare(lines []string) ([]Entry, error) {
	for _, l := range lines {
		if isField(l, 'K') {
			return []Entry{entry(lines, 1, nil)}, nil
		}
	}
	return nil, ErrNoTune
}

func entry(lines []string, line int, common []string) Entry {
	e := Entry{line: line, lines: lines, common: common}
	for _, l := range lines {
		text := strings.TrimSpace(uncomment(l)[min(2, len(uncomment(l))):])
		switch {
		case isField(l, 'X') && e.Number == "":
			e.Number = text
		case isField(l, 'T') && e.Title == "":
			e.Title = unescape(text)
		}
	}
	return e
}

// split cuts a file into lines. Bytes that are no UTF-8 are taken for Latin-1,
// as older files have them.
func split(data []byte) []string {
	text := strings.TrimPrefix(string(data), "\ufeff")
	if !utf8.ValidString(text) {
		runes := make([]rune, len(data))
		for i, b := range data {
			runes[i] = rune(b)
		}
		text = string(runes)
	}
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	return strings.Split(text, "\n")
}

// isField says whether a line is a field, such as T: a title.
func isField(line string, name byte) bool {
	return len(line) > 1 && line[0] == name && line[1] == ':'
}

// uncomment takes the comment off a line; \% is no comment.
func uncomment(line string) string {
	for i := 0; i < len(line); i++ {
		if line[i] == '%' && (i == 0 || line[i-1] != '\\') {
			return line[:i]
		}
	}
	return line
}

// Read reads one tune: its voices, each a tune of its own, in the order in which
// they begin. Voices without a note are among them. A second voice that stands
// in some bars after & is a voice too.
func Read(e Entry) []*melody.Tune {
	r := newReader(e.line)
	for _, l := range e.common {
		r.common(l)
	}
	for i, l := range e.lines {
		r.line = e.line + i
		r.read(l)
	}
	return r.finish()
}

// remark notes what was passed over, each kind once.
func (r *reader) remark(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if !r.remarked[text] && len(r.remarks) < mostRemarks {
		r.remarked[text] = true
		r.remarks = append(r.remarks, fmt.Sprintf("line %d: %s", r.line, text))
	}
}

// mostRemarks is how many things that were passed over are named.
const mostRemarks = 20
