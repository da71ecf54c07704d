package recording

import (
	"bytes"
	"encoding/binary"
	"io"
	"slices"
)

// header reads the name and the length of a chunk.
func header(file io.ReaderAt, at int64) (id string, size int64, err error) {
	b, err := read(file, at, 8)
	if err != nil {
		return "", 0, err
	}
	return string(b[:4]), int64(binary.LittleEndian.Uint32(b[4:])), nil
}

// foreign is how files begin that people take for WAV, and what they are.
var foreign = []struct{ begins, is string }{
	{"fLaC", "FLAC"},
	{"OggS", "Ogg"},
	{"ID3", "MP3"},
	{"\xff\xfb", "MP3"},
	{"\xff\xf3", "MP3"},
	{"\xff\xfa", "MP3"}, // the same two with a checksum. ref: ISO/IEC 11172-3, 2.4.1.3
	{"\xff\xf2", "MP3"},
	{"\xff\xf1", "AAC"}, // ref: ISO/IEC 14496-3, 1.A.2.2, ADTS
	{"\xff\xf9", "AAC"},
	{"FORM", "AIFF"},
	{"MThd", "a MIDI file"},
	{"RF64", "RF64, a WAV file of over 4 GiB"},
	{"BW64", "BW64, a WAV file of over 4 GiB"},
	{"RIFX", "a WAV file of the wrong byte order, RIFX"},
}

// known refuses what is no WAV file, and says what it seems to be.
func known(file io.ReaderAt, size int64) error {
	const least = 12
	if size < least {
		return refuse("it is no WAV file: it has %d bytes", size)
	}
	b, err := read(file, 0, least)
	if err != nil {
		return err
	}
	for _, f := range foreign {
		if bytes.HasPrefix(b, []byte(f.begins)) {
			return refuse("it is %s: convert it to a plain WAV file first", f.is)
		}
	}
	if string(b[4:8]) == "ftyp" {
		return refuse("it is MP4 or M4A: convert it to a plain WAV file first")
	}
	if string(b[:4]) != "RIFF" || string(b[8:]) != "WAVE" {
		return refuse("it is no WAV file: convert it to one first")
	}
	return nil
}

// The kinds of samples. ref: RFC 2361, appendix A; WAVE_FORMAT_IEEE_FLOAT and
// WAVE_FORMAT_EXTENSIBLE, Microsoft 2007.
const (
	kindPCM        = 1
	kindFloat      = 3
	kindExtensible = 0xfffe
)

// packed names kinds that would have to be unpacked first. ref: RFC 2361.
var packed = map[uint16]string{2: "ADPCM", 6: "A-law", 7: "mu-law", 0x11: "IMA ADPCM", 0x31: "GSM", 0x50: "MPEG", 0x55: "MP3"}

// subformat is what follows the kind in the sixteen bytes that name the
// samples of an extensible format. ref: Microsoft 2007.
var subformat = []byte{0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71}

// understand reads the format.
func (r *Recording) understand(c chunk) error {
	const plain, extensible = 16, 40
	if c.size < plain {
		return refuse("it is damaged: its format has %d bytes", c.size)
	}
	b, err := read(r.file, c.at, int(min(c.size, extensible)))
	if err != nil {
		return err
	}
	le := binary.LittleEndian
	kind, frame := le.Uint16(b), int(le.Uint16(b[12:]))
	r.Channels, r.Rate, r.Depth = int(le.Uint16(b[2:])), int(le.Uint32(b[4:])), int(le.Uint16(b[14:]))
	if kind == kindExtensible {
		if len(b) < extensible || !bytes.Equal(b[26:], subformat) {
			return refuse("its samples are in a format of somebody's own: convert it to plain PCM first")
		}
		kind = le.Uint16(b[24:])
	}
	r.Float = kind == kindFloat
	return r.check(kind, frame)
}

// check refuses what cannot be read; a frame has so many bytes.
func (r *Recording) check(kind uint16, frame int) error {
	depths := map[uint16][]int{kindPCM: {8, 16, 24, 32}, kindFloat: {32, 64}}[kind]
	switch {
	case packed[kind] != "":
		return refuse("its samples are packed as %s: convert it to plain PCM first", packed[kind])
	case depths == nil:
		return refuse("its samples are in a format unknown here, number %d: convert it to plain PCM first", kind)
	case r.Channels != 1 && r.Channels != 2:
		return refuse("it has %d channels: mix it down to one or two first", r.Channels)
	case !slices.Contains(depths, r.Depth):
		return refuse("its samples have %d bits: 8, 16, 24 or 32 are read, or 32 or 64 of floating point", r.Depth)
	case frame != r.Channels*r.Depth/8:
		return refuse("it is damaged: %d channels of %d bits do not make frames of %d bytes", r.Channels, r.Depth, frame)
	case r.Rate < minRate || r.Rate > maxRate:
		return refuse("it has %d frames a second: %d to %d are read", r.Rate, minRate, maxRate)
	}
	return nil
}
