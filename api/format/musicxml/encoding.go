package musicxml

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// mostRatio is how much larger than its zip file a score may be: XML packs well,
// but not better than this.
const mostRatio = 300

// unzip gives the score in a zip file; what is no zip file stays. ref: MusicXML
// 4.0, compressed .mxl files.
func unzip(data []byte) ([]byte, error) {
	if !bytes.HasPrefix(data, []byte("PK")) {
		return data, nil
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("the zip file is broken: %w", err)
	}
	var container struct {
		Files []struct {
			Path string `xml:"full-path,attr"`
		} `xml:"rootfiles>rootfile"`
	}
	index, err := entry(z, "META-INF/container.xml", len(data))
	if err != nil {
		return nil, err
	}
	if err := xml.Unmarshal(index, &container); err != nil || len(container.Files) == 0 {
		return nil, errors.New("META-INF/container.xml in the zip file names no score")
	}
	return entry(z, container.Files[0].Path, len(data))
}

// entry reads one file of a zip, by the name it has there.
func entry(z *zip.Reader, name string, size int) ([]byte, error) {
	for _, f := range z.File {
		if f.Name != name {
			continue
		}
		most := int64(min(MostInflated, size*mostRatio))
		in, err := f.Open()
		if err != nil {
			return nil, fmt.Errorf("%s in the zip file cannot be read: %w", name, err)
		}
		text, err := io.ReadAll(io.LimitReader(in, most+1))
		switch {
		case err != nil:
			return nil, fmt.Errorf("%s in the zip file is broken: %w", name, err)
		case int64(len(text)) > most:
			return nil, fmt.Errorf("%s in the zip file is too large", name)
		}
		return text, nil
	}
	return nil, fmt.Errorf("the zip file has no %q; is it a MusicXML file (.mxl)?", name)
}

// declared is the encoding that an XML declaration names.
var declared = regexp.MustCompile(`^<\?xml[^>]*encoding\s*=\s*["']([A-Za-z0-9._-]+)["']`)

// toUTF8 reads UTF-8, UTF-16 with its mark or without, and ISO-8859-1 where it is
// declared.
func toUTF8(data []byte) (string, error) {
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		return fromUTF16(data[2:], binary.LittleEndian), nil
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return fromUTF16(data[2:], binary.BigEndian), nil
	case bytes.HasPrefix(data, []byte{'<', 0}):
		return fromUTF16(data, binary.LittleEndian), nil
	case bytes.HasPrefix(data, []byte{0, '<'}):
		return fromUTF16(data, binary.BigEndian), nil
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	name := "utf-8"
	if m := declared.FindSubmatch(data); m != nil {
		name = strings.ToLower(string(m[1]))
	}
	switch name {
	case "utf-8", "utf8", "us-ascii", "ascii":
		if !utf8.Valid(data) {
			return "", errors.New("the file is not valid UTF-8; declare its encoding, as in <?xml version=\"1.0\" encoding=\"ISO-8859-1\"?>")
		}
		return string(data), nil
	case "iso-8859-1", "latin1", "latin-1":
		runes := make([]rune, len(data))
		for i, b := range data {
			runes[i] = rune(b)
		}
		return string(runes), nil
	}
	return "", fmt.Errorf("the file declares the encoding %q; UTF-8, UTF-16 and ISO-8859-1 are read", name)
}

func fromUTF16(data []byte, order binary.ByteOrder) string {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return string(utf16.Decode(units))
}
