package api

import (
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"reedlark/tab/harp"
)

// The bounds of a search.
const (
	maxHave   = 1000 // characters
	maxPart   = 200  // characters
	maxMelody = 64 << 10
	maxWays   = 36
	maxOctave = 4
	maxMoved  = 24
	maxVerse  = 99
	maxTune   = 1_000_000
)

// searchSetting is a parameter of a search, and which of the two takes it.
type searchSetting struct {
	setting[Search]
	find, arrange bool
}

func isOfFind(p searchSetting) bool    { return p.find }
func isOfArrange(p searchSetting) bool { return p.arrange }

// searchParameters is the one table of what a search may ask, as [Parameters] is
// for a tab.
var searchParameters = []searchSetting{
	{of("melody", "Melody", "the melody", "", text(func(s *Search) *string { return &s.Melody }, maxMelody, "notes as C4:1 D4:1/2 r:1 | F#4, at most 2,000")), true, false},
	{of("harp", "Harp", "the harp to play it on", best, checked(func(s *Search) *string { return &s.Harp }, harpOrBest,
		"best, or "+oneOf(harp.KeyNames())+", as low F or high G for another octave")), false, true},
	{of("have", "Harps you have", "the harps to choose from", "", checked(func(s *Search) *string { return &s.Have }, harpsYouHave,
		"keys separated by commas, as C,G,low F")), true, true},
	{of("allow_bends", "Bends", "which bends the player uses", "any", word(func(s *Search) *string { return &s.AllowBends },
		plain("any", "draw", "none")...)), true, true},
	{of("allow_overs", "Overblows and overdraws", "whether the player uses overblows and overdraws", "true",
		flag(func(s *Search) *bool { return &s.AllowOvers }, "not used", "used")), true, true},
	{of("in_position", "Position", "only harps that play the song in this position", "", whole(func(s *Search) *int { return &s.InPosition }, 1, positions)), true, true},
	{of("octave", "Octave", "how many octaves above what sounds", octaveAuto, octave(func(s *Search) **int { return &s.Octave })), true, true},
	{of("transpose", "Transpose", "how many semitones to move the melody first", "0", whole(func(s *Search) *int { return &s.Transpose }, -maxMoved, maxMoved)), true, true},
	{of("key", "Key of the song", "the key of the song, for the positions", "", checked(func(s *Search) *string { return &s.Key }, keyOfSong,
		oneOf(harp.KeyNames())+", with m behind it for minor")), true, true},
	{of("limit", "Ways listed", "how many ways to list", "", whole(func(s *Search) *int { return &s.Limit }, 1, maxWays)), true, true},
	{of("part", "Part", "the part or voice that has the melody", "", text(func(s *Search) *string { return &s.Part }, maxPart, "its name as the file has it, at most 200 characters")), false, true},
	{of("verse", "Verse", "the verse that stands under the notes", "1", whole(func(s *Search) *int { return &s.Verse }, 1, maxVerse)), false, true},
	{of("tune", "Tune", "which tune of a book", "", whole(func(s *Search) *int { return &s.Tune }, 1, maxTune)), false, true},
	{layoutSetting(func(s *Search) *Layout { return &s.Layout }), true, true},
	{tuningSetting(func(s *Search) *string { return &s.Tuning }), true, true},
	{a4Setting(func(s *Search) *float64 { return &s.A4 }), true, true},
}

// FindParameters lists what [Find] takes, as [Parameters] does for a tab.
func FindParameters() []Parameter { return searchList(isOfFind, FindLimit) }

// ArrangeParameters lists what [Arrange] takes, as [Parameters] does for a tab.
func ArrangeParameters() []Parameter { return searchList(isOfArrange, ArrangeLimit) }

func searchList(wanted func(searchSetting) bool, limit int) (out []Parameter) {
	for _, p := range searchParameters {
		if p.Name == "limit" {
			p.Default = decimal(float64(limit))
		}
		if wanted(p) {
			out = append(out, p.Parameter)
		}
	}
	return out
}

// searchDefaults is the search with every default of the table.
var searchDefaults = sync.OnceValue(func() Search {
	table := make([]setting[Search], len(searchParameters))
	for i, p := range searchParameters {
		table[i] = p.setting
	}
	return defaultsOf(table)
})

// NewSearch asks for nothing in particular: of at most so many ways.
func NewSearch(limit int) Search {
	s := searchDefaults()
	s.Limit = limit
	return s
}

// fillSearch sets every parameter of a search.
func fillSearch(s *Search, pairs []pair, wanted func(searchSetting) bool) error {
	var allowed []string
	for _, p := range searchParameters {
		if wanted(p) {
			allowed = append(allowed, p.Name)
		}
	}
	if err := known(pairs, allowed); err != nil {
		return err
	}
	for _, p := range present(pairs) {
		if err := s.set(p.name, p.value); err != nil {
			return err
		}
	}
	return nil
}

// Set gives one parameter its value as text: a flag of a command line, or one
// pair of a query. The error is a *CallError.
func (s *Search) Set(name, text string) error { return s.set(name, given{text: text}) }

func (s *Search) set(name string, v given) error {
	i := slices.IndexFunc(searchParameters, func(p searchSetting) bool { return p.Name == name })
	if i < 0 {
		return malformed(name, "there is no parameter %s here", shown(name))
	}
	return searchParameters[i].fill(s, v)
}

// harpOrBest gives the two spellings of one harp one name.
func harpOrBest(text string) (string, bool) {
	if text == best {
		return best, true
	}
	key, err := harp.ParseKey(text)
	return key.String(), err == nil
}

func harpsYouHave(text string) (string, bool) {
	if len(text) > maxHave {
		return "", false
	}
	for name := range strings.SplitSeq(text, ",") {
		if _, err := harp.ParseKey(name); err != nil {
			return "", false
		}
	}
	return text, true
}

func keyOfSong(text string) (string, bool) {
	_, err := songKey(text)
	return text, err == nil
}

// textKind is any text of at most so many bytes.
type textKind[T any] struct {
	at      func(*T) *string
	most    int
	allowed string
}

func text[T any](at func(*T) *string, most int, allowed string) kind[T] {
	return textKind[T]{at, most, allowed}
}

func (k textKind[T]) describe(p *Parameter) { p.Allowed = k.allowed }

func (k textKind[T]) set(t *T, v given) error {
	switch {
	case !v.is(isString):
		return errType
	case !utf8.ValidString(v.text):
		return errText
	case len(v.text) > k.most:
		return errAllowed
	}
	*k.at(t) = v.text
	return nil
}

func (k textKind[T]) json(t *T) string { return canonicalString(*k.at(t)) }

// octaveKind is a number of octaves, or auto for whichever is easiest.
type octaveKind[T any] struct{ at func(*T) **int }

const octaveAuto = "auto"

func octave[T any](at func(*T) **int) kind[T] { return octaveKind[T]{at} }

func (k octaveKind[T]) describe(p *Parameter) {
	p.Min, p.Max = -maxOctave, maxOctave
	p.Allowed = octaveAuto + ", or a whole number from " + p.Range()
}

func (k octaveKind[T]) set(t *T, v given) error {
	if v.text == octaveAuto && v.is(isString) {
		*k.at(t) = nil
		return nil
	}
	if v.typ == isString {
		return errAllowed
	}
	octaves := 0
	err := whole(func(*T) *int { return &octaves }, -maxOctave, maxOctave).set(t, v)
	if err == nil {
		*k.at(t) = &octaves
	}
	return err
}

func (k octaveKind[T]) json(t *T) string {
	if octaves := *k.at(t); octaves != nil {
		return decimal(float64(*octaves))
	}
	return canonicalString(octaveAuto)
}
