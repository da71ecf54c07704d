package midi

import (
	"bytes"
	"errors"
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"

	gomidi "gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// drums is the channel that General MIDI gives to percussion, counted from 0.
const drums = 9

// Read reads a Standard MIDI File of type 0 or 1: each track is a part, or each
// channel of the only one. Lengths are those that a score would have: an onset lies on the part of a
// beat it is next to, and a note that ends a little before the next one lasts
// until then. A time signature may say that a MIDI quarter is another note, as in
// the files that [Write] makes. The error says what the file lacks.
func Read(data []byte) ([]*melody.Tune, error) {
	if err := sound(data); err != nil {
		return nil, err
	}
	file, err := parse(data)
	if err != nil {
		return nil, fmt.Errorf("the MIDI file is broken: %w", err)
	}
	ticks, metric := file.TimeFormat.(smf.MetricTicks)
	if !metric || ticks == 0 {
		return nil, errors.New("the MIDI file counts in film frames, not in beats")
	}
	r := &reader{perQuarter: int(ticks), quarter: 1}
	r.oneTrack = len(file.Tracks) == 1
	for i, track := range file.Tracks {
		r.track(i, track)
	}
	return r.finish(), nil
}

// parse reads the events of a file. The library panics at some that are broken in
// ways of their own.
func parse(data []byte) (file *smf.SMF, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("%v", fault)
		}
	}()
	return smf.ReadFrom(bytes.NewReader(data))
}

// reader collects what a file says.
type reader struct {
	perQuarter int // ticks
	quarter    int // 32nd notes that a MIDI quarter is written as
	over       int // of a quarter, 8; 0 where nothing is said
	metres     []metreChange
	tempo      float64 // MIDI quarters a minute
	title      string
	key        *melody.Key
	parts      []*strand
	end        int64 // tick
	oneTrack   bool  // whose channels are the parts; else a track is one
}

// metreChange is a time signature.
type metreChange struct {
	at    int64 // tick
	metre melody.Metre
}

// strand is one channel of one track: a part.
type strand struct {
	name   string
	notes  []struck
	lyrics []sung
}

// struck is a note, in ticks.
type struck struct {
	from, to int64
	key      uint8
}

// sung is a syllable.
type sung struct {
	at   int64
	text string
}

// track reads one track.
func (r *reader) track(index int, track smf.Track) {
	t := &trackReader{reader: r, index: index, parts: map[uint8]*strand{}, held: map[[2]uint8]int{}}
	for _, e := range track {
		t.at += int64(e.Delta)
		t.event(e.Message)
	}
	r.end = max(r.end, t.at)
	t.finish(index)
}

// trackReader reads one track.
type trackReader struct {
	*reader
	index  int
	at     int64
	name   string
	parts  map[uint8]*strand
	order  []uint8
	held   map[[2]uint8]int // by channel and key: the note that sounds
	lyrics []sung
}

func (t *trackReader) event(m smf.Message) {
	var channel, key, velocity uint8
	switch play := gomidi.Message(m); {
	case play.GetNoteStart(&channel, &key, &velocity):
		t.off(channel, key)
		t.on(channel, key)
	case play.GetNoteEnd(&channel, &key):
		t.off(channel, key)
	case m.IsMeta():
		t.meta(m)
	}
}

func (t *trackReader) on(channel, key uint8) {
	if channel == drums {
		return
	}
	p := t.strand(channel)
	t.held[[2]uint8{channel, key}] = len(p.notes)
	p.notes = append(p.notes, struck{t.at, -1, key})
}

// strand is the part that a channel belongs to.
func (t *trackReader) strand(channel uint8) *strand {
	if !t.oneTrack {
		channel = 0
	}
	p := t.parts[channel]
	if p == nil {
		p = &strand{}
		t.parts[channel] = p
		t.order = append(t.order, channel)
	}
	return p
}

func (t *trackReader) off(channel, key uint8) {
	if i, sounding := t.held[[2]uint8{channel, key}]; sounding {
		t.strand(channel).notes[i].to = t.at
		delete(t.held, [2]uint8{channel, key})
	}
}

func (t *trackReader) meta(m smf.Message) {
	var text string
	var tempo float64
	var beats, unit, clocks, thirtySeconds, tonic, count uint8
	var major, flat bool
	switch {
	case m.GetMetaTrackName(&text):
		t.name = clean(text)
		if t.index == 0 && t.title == "" {
			t.title = t.name
		}
	case m.GetMetaLyric(&text):
		t.lyrics = append(t.lyrics, sung{t.at, clean(text)})
	case m.GetMetaTempo(&tempo):
		if t.tempo == 0 {
			t.tempo = tempo
		}
	case m.GetMetaTimeSig(&beats, &unit, &clocks, &thirtySeconds):
		t.signature(int(beats), int(unit), int(thirtySeconds))
	case m.GetMetaKeySig(&tonic, &count, &major, &flat):
		t.signatureKey(int(count), major, flat)
	}
}

// signature reads a metre, and which note a MIDI quarter is.
func (t *trackReader) signature(beats, unit, thirtySeconds int) {
	known := unit == 1 || unit == 2 || unit == 4 || unit == 8 || unit == 16 || unit == 32
	if beats < 1 || beats > 64 || !known {
		return
	}
	if len(t.metres) == 0 && thirtySeconds > 0 {
		t.quarter, t.over = thirtySeconds, 8
	}
	if unit == 1 {
		beats, unit = 2*beats, 2
	}
	t.metres = append(t.metres, metreChange{t.at, melody.Metre{Beats: beats, Unit: unit}})
}

func (t *trackReader) signatureKey(count int, major, flat bool) {
	if t.key != nil || count > 7 {
		return
	}
	if flat {
		count = -count
	}
	tonic := melody.Major(count)
	if !major {
		tonic = melody.Minor(count)
	}
	t.key = &melody.Key{Fifths: count, Tonic: tonic}
}

// finish gives the parts of the track their names and their words.
func (t *trackReader) finish(index int) {
	for _, channel := range t.order {
		p := t.parts[channel]
		for i := range p.notes {
			if p.notes[i].to < 0 { // never ended
				p.notes[i].to = t.at
			}
		}
		p.name = t.name
		switch {
		case p.name == "" && len(t.order) > 1:
			p.name = fmt.Sprintf("channel %d", channel+1)
		case p.name == "":
			p.name = fmt.Sprintf("track %d", index+1)
		case len(t.order) > 1:
			p.name += fmt.Sprintf(" channel %d", channel+1)
		}
		p.lyrics = t.lyrics
		t.reader.parts = append(t.reader.parts, p)
	}
}

// clean makes text of the bytes of a name; older files are in Latin-1.
func clean(text string) string {
	if !utf8.ValidString(text) {
		runes := make([]rune, len(text))
		for i := range len(text) {
			runes[i] = rune(text[i])
		}
		text = string(runes)
	}
	return strings.TrimSpace(text)
}

// quarters are ticks as the score counts them.
func (r *reader) quarters(ticks int64) beat.Time {
	t := beat.Whole(int(ticks)).Over(r.perQuarter)
	if r.over > 0 {
		t = t.Times(r.quarter).Over(r.over)
	}
	return t
}

// finish makes a tune of every part.
func (r *reader) finish() (out []*melody.Tune) {
	sort.SliceStable(r.metres, func(i, k int) bool { return r.metres[i].at < r.metres[k].at })
	for _, p := range r.parts {
		t := &melody.Tune{Title: r.title, Part: p.name, Instrument: p.name, Key: r.key, Tempo: r.tempo}
		if r.over > 0 {
			t.Tempo *= float64(r.quarter) / float64(r.over)
		}
		r.place(t, p)
		r.bars(t)
		out = append(out, t)
	}
	return out
}
