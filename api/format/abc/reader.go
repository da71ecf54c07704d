package abc

import (
	"cmp"
	"slices"
	"strings"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// reader reads one tune.
type reader struct {
	line      int
	inBody    bool
	ended     bool // W: or the like: no more music
	title     []string
	header    settings // before the first voice begins
	tempo     float64
	parts     string // the order of P: in the header
	voices    []*voice
	now       *voice
	main      *voice            // while its second voice is written to; else nil
	names     map[string]string // of voices, as V: gives them
	symbols   map[byte]string   // decorations that U: defines
	verses    int               // w: lines since the last line of music
	continued bool              // the line of music before goes on
	block     string            // the line that ends a block which is no music
	hornpipe  bool

	remarks  []string
	remarked map[string]bool
}

// settings hold for a voice, and may change on the way.
type settings struct {
	unit      beat.Time // length of a note without a number, quarters
	unitGiven bool
	metre     melody.Metre
	free      bool // M:none
	key       key
	octave    int // notes are moved by
	transpose int // semitones
}

func newReader(line int) *reader {
	return &reader{
		line: line, remarked: map[string]bool{}, names: map[string]string{}, symbols: map[byte]string{},
		header: settings{unit: beat.Whole(1).Over(2), free: true},
	}
}

// common reads a field before the first tune of a book.
func (r *reader) common(line string) {
	line = uncomment(line)
	if len(line) > 1 && line[1] == ':' && strings.IndexByte("LMUQ", line[0]) >= 0 {
		r.field(line[0], strings.TrimSpace(line[2:]))
	}
}

// read reads one line.
func (r *reader) read(line string) {
	text := strings.TrimRight(uncomment(line), " \t")
	switch {
	case r.block != "":
		if strings.HasPrefix(line, r.block) {
			r.block = ""
		}
	case strings.HasPrefix(line, "%%begin"): // text for the printed page
		r.block = "%%end" + strings.TrimPrefix(line, "%%begin")
	case text == "":
	case len(text) > 1 && text[1] == ':' && isLetter(text[0]) && !startsMusic(text):
		r.field(text[0], strings.TrimSpace(text[2:]))
	case r.inBody && !r.ended:
		r.music(text)
	}
}

// startsMusic says that a line which looks like a field is music: it begins with
// a bar line such as |: does not, but a note before :| does.
func startsMusic(text string) bool {
	return strings.HasPrefix(text[1:], ":|") || strings.HasPrefix(text[1:], "::")
}

func isLetter(c byte) bool { return c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' }

// field reads a field, on a line of its own or in brackets among the music.
func (r *reader) field(name byte, text string) {
	switch name {
	case 'T':
		r.heading(text)
	case 'M':
		r.setMetre(text)
	case 'L':
		r.setUnit(text)
	case 'Q':
		r.setTempo(text)
	case 'K':
		r.setKey(text)
	case 'V':
		r.setVoice(text)
	case 'P':
		r.setPart(text)
	case 'U':
		r.setSymbol(text)
	case 'w':
		r.words(text)
	case 'R':
		r.hornpipe = strings.Contains(strings.ToLower(text), "hornpipe")
	case 'm':
		r.remark("macros (m:) are not followed")
	case 'I':
		r.instruct(text)
	}
}

// heading reads T:, in the body a name of what follows.
func (r *reader) heading(text string) {
	if !r.inBody {
		r.title = append(r.title, unescape(text))
		return
	}
	r.voice().section(unescape(text))
}

// instruct reads I:, of which only voices and keys would matter, and those have
// fields of their own.
func (r *reader) instruct(string) {}

// state is what a change of a setting changes: the voice, or all voices to come.
func (r *reader) state() *settings {
	if r.now != nil {
		return &r.now.settings
	}
	return &r.header
}

// voice is the one that is written to; music before any V: is a voice without a
// name.
func (r *reader) voice() *voice {
	if r.now == nil {
		r.now = r.newVoice("")
	}
	return r.now
}

// setVoice goes to a voice, or only names it in the header.
func (r *reader) setVoice(text string) {
	id, rest, _ := strings.Cut(text, " ")
	options := properties(rest)
	for _, name := range []string{"name", "nm"} {
		if given, ok := options[name]; ok {
			r.names[id] = given
		}
	}
	v := r.find(id)
	if v == nil && r.inBody && len(r.voices) == 1 && r.voices[0].id == "" && r.voices[0].empty() {
		v = r.voices[0]
		v.id = id
	}
	if v == nil {
		v = r.newVoice(id)
	}
	v.apply(rest, options)
	if r.inBody {
		r.now = v
	}
}

func (r *reader) find(id string) *voice {
	for _, v := range r.voices {
		if v.id == id {
			return v
		}
	}
	return nil
}

// mostVoices bounds the voices of a tune.
const mostVoices = 1000

func (r *reader) newVoice(id string) *voice {
	if len(r.voices) >= mostVoices {
		r.remark("there are more than %d voices", mostVoices)
		return r.voices[0]
	}
	v := &voice{id: id, settings: r.header}
	v.begin(r.line)
	r.voices = append(r.voices, v)
	return v
}

// overlay goes to the second voice of the bar that is open, or to the third. ref:
// 2.1, section 7.4.
func (r *reader) overlay() {
	v := r.voice()
	if r.main == nil {
		r.main = v
	}
	id := v.id + " &"
	o := r.find(id)
	if o == nil {
		if o = r.newVoice(id); o == v {
			return
		}
		o.over = r.main
	}
	o.settings, o.at, o.sharp = r.main.settings, beat.Max(r.main.bar().At, o.at), map[int]int{}
	o.tied, o.pending, o.tuplet = false, beat.Time{}, tuplet{}
	r.now = o
}

// beginBody is the end of the header: K: was read.
func (r *reader) beginBody() {
	r.inBody = true
	for _, v := range r.voices {
		octave, transpose := v.octave, v.transpose
		v.settings = r.header
		v.octave, v.transpose = cmp.Or(octave, v.octave), cmp.Or(transpose, v.transpose)
		v.tune.Bars[0].Metre = v.metre
	}
	if len(r.voices) > 0 {
		r.now = r.voices[0]
	}
}

// finish ends the tune.
func (r *reader) finish() []*melody.Tune {
	var out []*melody.Tune
	for _, v := range r.voices {
		v.finish()
		if v.over != nil {
			v.tune.Bars, v.tune.Length = slices.Clone(v.over.tune.Bars), beat.Max(v.over.at, v.at)
		}
		t := &v.tune
		t.Title = strings.Join(r.title[:min(1, len(r.title))], " ")
		t.Part, t.Tempo, t.Key = r.names[v.id], r.tempo, r.header.key.named()
		if t.Part == "" {
			t.Part = v.id
		}
		if r.hornpipe {
			t.Swing = melody.UsualSwing
		}
		t.Remarks = append(t.Remarks, r.remarks...)
		r.follow(t)
		t.TidyRepeats()
		t.NumberBars()
		out = append(out, t)
	}
	return out
}
