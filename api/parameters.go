package api

import (
	"math"
	"slices"
	"strings"

	"reedlark/tab"
	"reedlark/tab/harp"
)

// Parameter is one setting a caller may give, by query, JSON, link or flag.
type Parameter struct {
	Name    string
	Help    string // what it does, in a phrase
	Allowed string // what it may be, as errors say it
	kind    kind
}

// Flag says that the parameter is true or false, so that a command line can
// take its name alone for true.
func (p Parameter) Flag() bool {
	_, ok := p.kind.(flag)
	return ok
}

// Usual is the value that holds where none is given, as text; "" where there is
// none, since the page or the use it is put to decides.
func (p Parameter) Usual() string {
	usual := Defaults()
	text := strings.Trim(p.kind.json(&usual), `"`)
	if err := p.kind.set(&usual, given{text: text}); err != nil {
		return ""
	}
	return text
}

// Parameters lists every parameter of a tab, in the order of the documentation.
// The link z, which stands for all of them, is not among them; see [FromLink].
func Parameters() []Parameter { return slices.Clone(parameters) }

var parameters = []Parameter{
	{"tab", "the tab itself", "text of at most 64 KiB", page{func(r *Request) *string { return &r.Tab }}},
	{"harp", "the harp the tab is played on", "one of " + list(harp.KeyNames()) + ", as low F or high G for another octave", checked{func(r *Request) *string { return &r.Harp }, harpName}},
	{"layout", "what each reed sounds", "one of " + list(harp.Layouts()) + "; in JSON also {\"blow\":[ten notes],\"draw\":[ten notes]}", reeds{func(r *Request) *Layout { return &r.Layout }}},
	{"tuning", "how the reeds are tuned against each other", "one of " + list(harp.Tunings()), word(func(r *Request) *string { return &r.Tuning }, harp.Tunings()...)},
	{"a4", "the pitch of A4 in hertz", "415 to 466 Hz", number{func(r *Request) *float64 { return &r.A4 }, harp.MinA4, harp.MaxA4}},
	{"tempo", "how fast", "20 to 400 beats a minute", number{func(r *Request) *float64 { return &r.Tempo }, 20, 400}},
	{"metre", "the time signature", "beats over unit: 1 to 32 over 2, 4, 8 or 16, as 3/4 or 6/8", checked{func(r *Request) *string { return &r.Metre }, metre}},
	{"swing", "where the half of a beat falls", "0.5 (even) to 0.75", number{func(r *Request) *float64 { return &r.Swing }, 0.5, 0.75}},
	{"brackets", "how notes in brackets are played", "one of soft, full, skip", word(func(r *Request) *string { return &r.Brackets }, "soft", "full", "skip")},
	{"bends", "whether a bent note falls into its pitch", "one of glide, direct", word(func(r *Request) *string { return &r.Bends }, "glide", "direct")},
	{"phrasing", "played shapes the tune as a player does, every note on its beat; plain plays exactly what is written", "one of played, plain", word(func(r *Request) *string { return &r.Phrasing }, "played", "plain")},
	{"convention", "how the tab tells blow from draw", "one of auto, signs, letters, arrows", word(func(r *Request) *string { return &r.Convention }, "auto", "signs", "letters", "arrows")},
	{"to_convention", "the convention a rewritten tab is in", "one of signs, letters, arrows", word(func(r *Request) *string { return &r.ToConvention }, "signs", "letters", "arrows")},
	{"from", "where the playing begins", edgeAllowed, edge{func(r *Request) *Edge { return &r.From }}},
	{"to", "where the playing ends", edgeAllowed, edge{func(r *Request) *Edge { return &r.To }}},
	{"repeat", "times round, without a gap", "a whole number from 1 to 32", whole(func(r *Request) *int { return &r.Repeat }, 1, 32)},
	{"count_in", "bars of count before the first note", "a whole number from 0 to 4", whole(func(r *Request) *int { return &r.CountIn }, 0, 4)},
	{"click", "a tick on every beat", flagAllowed, flag{func(r *Request) *bool { return &r.Click }}},
	{"backing", "what plays along: the song's key note and fifth, or bass and chords as the page's chords: rows have them", "one of off, drone, chords", word(func(r *Request) *string { return &r.Backing }, "off", "drone", "chords")},
	{"mix", "which parts are heard: split has the melody left and all else right, in two channels", "one of all, melody, backing, split", word(func(r *Request) *string { return &r.Mix }, "all", "melody", "backing", "split")},
	{"room", "how much room there is around the harp", "0 (none) to 1", number{func(r *Request) *float64 { return &r.Room }, 0, 1}},
	{"format", "the file format", "wav or flac for a sound; json, midi or musicxml for a score", word(func(r *Request) *string { return &r.Format }, formats...)},
	{"cues", "cue points for lines and sections in a WAV file", flagAllowed, flag{func(r *Request) *bool { return &r.Cues }}},
	{"rate", "frames a second", "one of 22050, 44100, 48000", oneOf(func(r *Request) *int { return &r.Rate }, 22050, 44100, 48000)},
	{"depth", "bits a sample", "16 or 24", oneOf(func(r *Request) *int { return &r.Depth }, 16, 24)},
	{"channels", "channels of the sound", "1 or 2", oneOf(func(r *Request) *int { return &r.Channels }, 1, 2)},
	{"position", "which position the song is played in", "a whole number from 1 to 12", whole(func(r *Request) *int { return &r.Position }, 1, 12)},
	{"loudness", "how loud the file is", "-30 to -12 LUFS", number{func(r *Request) *float64 { return &r.Loudness }, -30, -12}},
	{"strict", "whether warnings refuse the tab", flagAllowed, flag{func(r *Request) *bool { return &r.Strict }}},
}

// harpParameters are those the chart of a harp takes.
var harpParameters = []string{"layout", "tuning", "a4"}

const (
	edgeAllowed = "a beat from 0 on, or a line of the page as L3"
	flagAllowed = "true or false"
)

// formats are the words for all formats; each resource has some of them.
var formats = []string{"wav", "flac", "json", "midi", "musicxml"}

// Known says whether there is a parameter of that name.
func Known(name string) bool {
	_, known := find(name)
	return known
}

// find looks a parameter up by its exact name.
func find(name string) (Parameter, bool) {
	i := slices.IndexFunc(parameters, func(p Parameter) bool { return p.Name == name })
	if i < 0 {
		return Parameter{}, false
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
	if err := p.kind.set(r, v); err != nil {
		return p.refuse(v, err)
	}
	return nil
}

func unknown(name string, known []string) *CallError {
	err := malformed(name, "there is no parameter %s here", shown(name))
	err.Allowed = list(known)
	return err
}

// harpName gives the two spellings of one harp one name.
func harpName(text string) (string, bool) {
	key, err := harp.ParseKey(text)
	return key.String(), err == nil
}

// metre drops blanks and leading zeros.
func metre(text string) (string, bool) {
	m, ok := tab.ParseMetre(text)
	return m.String(), ok
}

func isWhole(v float64) bool { return v == math.Trunc(v) }
