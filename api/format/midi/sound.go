package midi

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// sound looks through the chunks and events of a file, so that no length in it
// claims more than there is. ref: Standard MIDI Files 1.0 (RP-001).
func sound(data []byte) error {
	if len(data) < 14 || string(data[:4]) != "MThd" {
		return errors.New("this is not a MIDI file: it does not begin with MThd")
	}
	if kind := binary.BigEndian.Uint16(data[8:]); kind > 1 {
		return fmt.Errorf("the MIDI file is of type %d; types 0 and 1 are read", kind)
	}
	at := 8 + int(binary.BigEndian.Uint32(data[4:])&0xffff)
	tracks := 0
	for at+8 <= len(data) {
		name, length := string(data[at:at+4]), int64(binary.BigEndian.Uint32(data[at+4:]))
		at += 8
		if int64(at)+length > int64(len(data)) {
			return fmt.Errorf("byte %d: a chunk of %d bytes is cut off", at, length)
		}
		if name == "MTrk" {
			tracks++
			if err := (&events{data: data[at : at+int(length)], base: at}).check(); err != nil {
				return err
			}
		}
		at += int(length)
	}
	if tracks == 0 {
		return errors.New("the MIDI file has no track")
	}
	return nil
}

// events are those of a track.
type events struct {
	data   []byte
	base   int // where in the file they begin
	at     int
	status byte
}

func (e *events) check() error {
	for e.at < len(e.data) {
		if _, ok := e.number(); !ok {
			return e.cut()
		}
		if err := e.event(); err != nil {
			return err
		}
	}
	return nil
}

func (e *events) cut() error { return fmt.Errorf("byte %d: an event is cut off", e.base+e.at) }

// number reads a number of variable length.
func (e *events) number() (n int, ok bool) {
	for range 4 {
		if e.at >= len(e.data) {
			return 0, false
		}
		b := e.data[e.at]
		e.at++
		n = n<<7 | int(b&0x7f)
		if b < 0x80 {
			return n, true
		}
	}
	return 0, false
}

// event passes over one event.
func (e *events) event() error {
	if e.at >= len(e.data) {
		return e.cut()
	}
	b := e.data[e.at]
	if b >= 0x80 {
		e.at++
	} else if b = e.status; b == 0 {
		return fmt.Errorf("byte %d: an event has no status", e.base+e.at)
	}
	switch {
	case b == 0xff:
		e.at++ // the kind of a meta event
		e.status = 0
		return e.block()
	case b == 0xf0 || b == 0xf7:
		e.status = 0
		return e.block()
	case b >= 0xf0:
		return fmt.Errorf("byte %d: there is no event with the status %X in a file", e.base+e.at, b)
	case b >= 0xc0 && b < 0xe0:
		return e.message(b, 1)
	}
	return e.message(b, 2)
}

// message passes over the data of a message on a channel.
func (e *events) message(status byte, bytes int) error {
	e.status = status
	if e.at+bytes > len(e.data) {
		return e.cut()
	}
	for ; bytes > 0; bytes-- {
		if e.data[e.at] >= 0x80 {
			return fmt.Errorf("byte %d: %X is no data of an event", e.base+e.at, e.data[e.at])
		}
		e.at++
	}
	return nil
}

// block passes over what has its length written before it.
func (e *events) block() error {
	n, ok := e.number()
	if !ok || e.at+n > len(e.data) {
		return e.cut()
	}
	e.at += n
	return nil
}
