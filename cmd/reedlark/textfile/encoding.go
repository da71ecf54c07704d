// Package textfile knows text files as people have them lying about: in the
// encodings of old and new editors, and what differs between two of them.
//
// A page that is changed goes back in the encoding it came in, with its byte
// order mark and its line ends, so that the program it was written with opens it
// still. [Decode] finds the encoding out: a byte order mark says it, what is valid
// UTF-8 is UTF-8, and what has no character of UTF-8 beyond ASCII in it is
// Windows-1252, the usual one before.
package textfile

import (
	"bytes"
	"errors"
	"fmt"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// UTF8 is the name of the encoding that pages should be in.
const UTF8 = "UTF-8"

// Encoding is how the characters of a file are bytes.
type Encoding struct {
	Name  string            // as editors call it
	coder encoding.Encoding // nil for UTF-8
	mark  string            // that is no part of the text; UTF-8's is
}

// BadByte is the error of a file that is in no encoding we know, because of the
// byte at an offset.
type BadByte struct{ Offset int }

func (b *BadByte) Error() string { return "a byte is no character of UTF-8 text" }

var (
	utf16LE = Encoding{Name: "UTF-16 LE", coder: unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM), mark: "\xff\xfe"}
	utf16BE = Encoding{Name: "UTF-16 BE", coder: unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), mark: "\xfe\xff"}
	old     = Encoding{Name: "Windows-1252", coder: charmap.Windows1252}
)

// errBinary says that a file is no text.
var errBinary = errors.New("this is a binary file, not a page of tab")

// Decode is the text of a file and the encoding it was in. It fails where the
// file is no text, or would not come back the same; with a *BadByte where it is
// UTF-8 but for that byte, or neither that nor Windows-1252.
func Decode(file []byte) (string, Encoding, error) {
	for _, e := range []Encoding{utf16LE, utf16BE} {
		if rest, is := bytes.CutPrefix(file, []byte(e.mark)); is {
			return e.decode(file, rest)
		}
	}
	bad, multiByte := scan(file)
	switch {
	case bad < 0:
		return string(file), Encoding{Name: UTF8}, nil
	case bytes.IndexByte(file, 0) >= 0:
		return "", Encoding{}, errBinary
	case multiByte:
		return "", Encoding{}, &BadByte{bad}
	}
	text, e, err := old.decode(file, file)
	if err != nil {
		err = &BadByte{bad}
	}
	return text, e, err
}

// scan finds the first byte that is not UTF-8, -1 for none, and whether some
// character is written in several bytes, which hardly happens by chance.
func scan(file []byte) (bad int, multiByte bool) {
	bad = -1
	for i := 0; i < len(file); {
		r, size := utf8.DecodeRune(file[i:])
		if r == utf8.RuneError && size == 1 && bad < 0 {
			bad = i
		}
		multiByte = multiByte || size > 1
		i += size
	}
	return bad, multiByte
}

func (e Encoding) decode(file, rest []byte) (string, Encoding, error) {
	text, err := e.coder.NewDecoder().Bytes(rest)
	if err != nil {
		return "", e, err
	}
	again, err := e.Encode(string(text))
	if err != nil || !bytes.Equal(again, file) {
		return "", e, fmt.Errorf("this is no whole text in %s; save the page as UTF-8 first", e.Name)
	}
	return string(text), e, nil
}

// Encode is the file of a text. It fails where the encoding has not all of its
// characters.
func (e Encoding) Encode(text string) ([]byte, error) {
	if e.coder == nil {
		return []byte(text), nil
	}
	out, err := e.coder.NewEncoder().String(text)
	if err != nil {
		return nil, fmt.Errorf("%s lacks some of the characters; save the page as UTF-8 first", e.Name)
	}
	return []byte(e.mark + out), nil
}
