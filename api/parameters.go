package api

import (
	"math"
	"slices"
	"strings"
	"sync"

	"reedlark/tab"
	"reedlark/tab/band"
	"reedlark/tab/beat"
	"reedlark/tab/harp"
)

// Parameter is what is known of one setting that a caller may give, by query,
// JSON, link or flag. The flags and their help, the form of the page, the
// errors and the tests of the contract are made from it.
type Parameter struct {
	Name    string
	Label   string // a caption for forms
	Help    string // what it does, in a phrase
	Default string // as text; "" where the page, or the use it is put to, decides
	Allowed string // what it may be, as errors say it

	Words    []Word  // those it may be; nil where it is no word
	Offered  []Word  // values worth offering in a form, of others that are allowed too
	Min, Max float64 // of a number; both 0 where it has no bounds
	Flag     bool    // true or false, so that a flag's name alone is true
}

// Word is one of the words a parameter may be.
type Word struct {
	Value string
	Label string // for forms
}

// Range is the bounds of a number, "20 to 400".
func (p Parameter) Range() string { return decimal(p.Min) + " to " + decimal(p.Max) }

// Parameters lists every parameter of a tab, in the order of the documentation.
// The link z, which stands for all of them, is not among them; see [FromLink].
func Parameters() []Parameter {
	out := make([]Parameter, len(parameters))
	for i, p := range parameters {
		out[i] = p.Parameter
	}
	return out
}

// ParameterNamed is one of [Parameters]; the zero one where there is none.
func ParameterNamed(name string) Parameter {
	p, _ := find(name)
	return p.Parameter
}

// parameters is the one table of what a request may ask. A line is the name,
// the caption, the help, the default and the kind of value. A new line takes a
// field of [Request], and the contract is tested to have it.
var parameters = []setting[Request]{
	of("tab", "The tab", "the tab itself", "", page(func(r *Request) *string { return &r.Tab })),
	of("harp", "Harp", "the harp the tab is played on", "", key(func(r *Request) **harp.Key { return &r.Harp })),
	layoutSetting(func(r *Request) *Layout { return &r.Layout }),
	tuningSetting(func(r *Request) *string { return &r.Tuning }),
	a4Setting(func(r *Request) *float64 { return &r.A4 }),
	of("tempo", "Tempo", "how fast", "", number(func(r *Request) *float64 { return &r.Tempo }, beat.MinTempo, beat.MaxTempo, " beats a minute")),
	of("metre", "Metre", "the time signature", "", checked(func(r *Request) *string { return &r.Metre }, metre,
		"beats over unit: 1 to 32 over 2, 4, 8 or 16, as 3/4 or 6/8", plain("2/4", "3/4", "4/4", "6/8", "9/8", "12/8")...)),
	of("swing", "Swing", "where the half of a beat falls", "", number(func(r *Request) *float64 { return &r.Swing }, beat.MinSwing, beat.MaxSwing, ", 0.5 being even")),
	of("brackets", "Notes in brackets", "how notes in brackets are played", "soft", word(func(r *Request) *string { return &r.Brackets },
		Word{"soft", "soft"}, Word{"full", "full"}, Word{"skip", "left out"})),
	of("bends", "Bends", "whether a bent note falls into its pitch", "glide", word(func(r *Request) *string { return &r.Bends },
		Word{"glide", "glide into the note"}, Word{"direct", "straight on the note"})),
	of("phrasing", "How it is played", "played shapes the tune as a player does, every note on its beat; plain plays exactly what is written", "played",
		word(func(r *Request) *string { return &r.Phrasing }, Word{"played", "as a player shapes it"}, Word{"plain", "exactly as written"})),
	of("convention", "How blow and draw are written", "how the tab tells blow from draw", "auto", word(func(r *Request) *string { return &r.Convention },
		Word{"auto", "find out"}, Word{"signs", "signs: 4 −4"}, Word{"letters", "letters: B4 D4"}, Word{"arrows", "arrows: 4↑ 4↓"},
		Word{"trailing", "signs behind: 4+ 4−"}, Word{"brackets", "brackets: 4 (4)"}, Word{"words", "words: 4 blow, 4 draw"}, Word{"marks", "marks the page explains"})),
	of("unread", "What cannot be read", "whether a tab is refused for what cannot be read, or played without it", "refuse",
		word(func(r *Request) *string { return &r.Unread }, Word{"refuse", "refuse the tab"}, Word{unreadSkip, "play the rest"})),
	of("to_convention", "Rewritten in", "the convention a rewritten tab is in", "signs", word(func(r *Request) *string { return &r.ToConvention },
		plain("signs", "letters", "arrows")...)),
	of("from", "From", "where the playing begins", "", edge(func(r *Request) *Edge { return &r.From })),
	of("to", "To", "where the playing ends", "", edge(func(r *Request) *Edge { return &r.To })),
	of("repeat", "Rounds", "times round, without a gap", "1", whole(func(r *Request) *int { return &r.Repeat }, 1, 32)),
	of("count_in", "Count-in", "bars of count before the first note", "0", whole(func(r *Request) *int { return &r.CountIn }, 0, 4,
		"off", "1 bar", "2 bars", "3 bars", "4 bars")),
	of("click", "Click", "a tick on every beat", "false", flag(func(r *Request) *bool { return &r.Click }, "off", "on")),
	of("backing", "Backing", "what plays along: the song's key note and fifth, or bass and chords as the page's chords: rows have them, or these with drums", "off",
		word(func(r *Request) *string { return &r.Backing }, Word{"off", "off"}, Word{"drone", "a drone"}, Word{"chords", "bass and chords, from the chord rows"}, Word{"band", "the same, with drums"})),
	of("style", "Style", "how bass, chords and drums play; without one as the page says, else as the metre asks", "",
		word(func(r *Request) *string { return &r.Style }, styles()...)),
	of("mix", "Who is heard", "which parts are heard: split has the melody left and all else right, in two channels", "all", word(func(r *Request) *string { return &r.Mix },
		Word{"all", "all"}, Word{mixMelody, "the harp alone"}, Word{mixBacking, "what plays along, alone"}, Word{mixSplit, "the harp left, the rest right"})),
	of("room", "Room around the harp", "how much room there is around the harp", "0.15", number(func(r *Request) *float64 { return &r.Room }, 0, 1, ", 0 being none")),
	of("format", "File format", "the file format", "", formats(func(r *Request) *string { return &r.Format })),
	of("cues", "Cue points", "cue points for lines and sections in a WAV file", "false", flag(func(r *Request) *bool { return &r.Cues }, "off", "on")),
	of("rate", "Frames a second", "frames a second", "48000", few(func(r *Request) *int { return &r.Rate }, 22050, 44100, 48000)),
	of("depth", "Bits a sample", "bits a sample", "16", few(func(r *Request) *int { return &r.Depth }, 16, 24)),
	of("channels", "Channels", "channels of the sound", "1", few(func(r *Request) *int { return &r.Channels }, 1, 2)),
	of("position", "Position", "which position the song is played in", "1", whole(func(r *Request) *int { return &r.Position }, 1, positions)),
	of("loudness", "Loudness in LUFS", "how loud the file is", "-16", number(func(r *Request) *float64 { return &r.Loudness }, -30, -12, " LUFS")),
	of("strict", "What is doubtful", "whether warnings refuse the tab", "false", flag(func(r *Request) *bool { return &r.Strict }, "a guess is played", "refuse it, like a mistake")),
}

func styles() []Word {
	var out []Word
	for _, s := range band.Styles() {
		out = append(out, Word{string(s), string(s)})
	}
	return out
}

// What requests and searches say alike of the harp.

func layoutSetting[T any](at func(*T) *Layout) setting[T] {
	return of("layout", "Layout of the harp", "what each reed sounds", "", reeds(at))
}

func tuningSetting[T any](at func(*T) *string) setting[T] {
	return of("tuning", "Tuning", "how the reeds are tuned against each other", "", word(at, plain(harp.Tunings()...)...))
}

func a4Setting[T any](at func(*T) *float64) setting[T] {
	return of("a4", "Pitch of A4 in hertz", "the pitch of A4 in hertz", "440", number(at, harp.MinA4, harp.MaxA4, " Hz"))
}

// harpParameters are those the chart of a harp takes.
var harpParameters = []string{"layout", "tuning", "a4"}

// positions is how many positions there are, one for each key.
const positions = 12

// setting is a parameter of a T and the field that it fills.
type setting[T any] struct {
	Parameter
	kind[T]
}

func of[T any](name, label, help, standard string, k kind[T]) setting[T] {
	p := Parameter{Name: name, Label: label, Help: help, Default: standard}
	k.describe(&p)
	return setting[T]{p, k}
}

// fill sets the field of the parameter. The error is a *CallError.
func (s setting[T]) fill(t *T, v given) error {
	if err := s.set(t, v); err != nil {
		return s.refuse(v, err)
	}
	return nil
}

// defaults is the request with every default of the table.
var defaults = sync.OnceValue(func() Request { return defaultsOf(parameters) })

func defaultsOf[T any](table []setting[T]) (t T) {
	for _, p := range table {
		if p.Default == "" {
			continue
		}
		if err := p.fill(&t, given{text: p.Default}); err != nil {
			panic(err) // the table contradicts itself
		}
	}
	return t
}

// Defaults is a Request that asks for nothing in particular.
func Defaults() Request { return defaults() }

// Known says whether there is a parameter of that name.
func Known(name string) bool {
	_, known := find(name)
	return known
}

// find looks a parameter up by its exact name.
func find(name string) (setting[Request], bool) {
	i := slices.IndexFunc(parameters, func(p setting[Request]) bool { return p.Name == name })
	if i < 0 {
		return setting[Request]{}, false
	}
	return parameters[i], true
}

func names() []string {
	out := make([]string, len(parameters))
	for i, p := range parameters {
		out[i] = p.Name
	}
	return out
}

func list(words []string) string { return strings.Join(words, ", ") }

// Set gives one parameter its value as text: a flag of a command line, or one
// pair of a query. The error is a *CallError.
func (r *Request) Set(name, text string) error { return r.set(name, given{text: text}) }

func (r *Request) set(name string, v given) error {
	p, ok := find(name)
	if !ok {
		return unknown(name, names())
	}
	return p.fill(r, v)
}

func unknown(name string, known []string) *CallError {
	err := malformed(name, "there is no parameter %s here", shown(name))
	err.Allowed = list(known)
	return err
}

// metre drops blanks and leading zeros.
func metre(text string) (string, bool) {
	m, ok := tab.ParseMetre(text)
	return m.String(), ok
}

func isWhole(v float64) bool { return v == math.Trunc(v) }
