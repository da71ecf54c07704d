package api

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"reedlark/tab/arrange"
	"reedlark/tab/harp"
	"reedlark/tab/melody"
)

// Search is what a caller asks of [Find] and [Arrange]: which harps to choose
// from, and what the player does and does not do. Start from [NewSearch].
type Search struct {
	Melody string // notes as people type them; for Find alone
	Harp   string // "low F" for one harp alone; "best" for the easiest; for Arrange alone

	Have       string // the harps to choose from, separated by commas; "" for the twelve usual ones
	AllowBends string // any, draw, none
	AllowOvers bool
	InPosition int    // 1 to 12; 0 for any
	Octave     *int   // -4 to 4 above what sounds; nil for whichever is easiest
	Transpose  int    // semitones, -24 to 24
	Key        string // of the song; "" for the file's or the last note
	Limit      int    // ways, 1 to 36

	Part  string // a part's or a voice's name; "" for the melody of the file
	Verse int    // whose words stand under the notes, 1 to 99
	Tune  int    // of a book, from 1; 0 for the first

	Layout Layout
	Tuning string
	A4     float64 // Hz
}

// best is the word for whichever harp is easiest.
const best = "best"

// NewSearch asks for nothing in particular: of at most so many ways.
func NewSearch(limit int) Search {
	return Search{Harp: best, AllowBends: "any", AllowOvers: true, Limit: limit, Verse: 1, A4: Defaults().A4}
}

// The ways that are listed where nobody says how many.
const (
	FindLimit    = 12
	ArrangeLimit = 6
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

// searchKind is a parameter of a search.
type searchKind struct {
	name, help, allowed string
	find, arrange       bool // which of the two takes it
	set                 func(s *Search, v given) error
}

// searchParameters lists what a search takes besides layout, tuning and a4.
var searchParameters = []searchKind{
	{"melody", "the melody", "notes as C4:1 D4:1/2 r:1 | F#4, at most 2,000", true, false, setText(maxMelody, func(s *Search) *string { return &s.Melody })},
	{"harp", "the harp to play it on", "best, or one of " + list(harp.KeyNames()) + ", as low F or high G for another octave", false, true, setHarp},
	{"have", "the harps to choose from", "keys separated by commas, as C,G,low F", true, true, setHave},
	{"allow_bends", "which bends the player uses", "one of any, draw, none", true, true, setBends},
	{"allow_overs", "whether the player uses overblows and overdraws", flagAllowed, true, true, setOvers},
	{"in_position", "only harps that play the song in this position", "a whole number from 1 to 12", true, true, setWhole(1, positions, func(s *Search) *int { return &s.InPosition })},
	{"octave", "how many octaves above what sounds", "auto, or a whole number from -4 to 4", true, true, setOctave},
	{"transpose", "how many semitones to move the melody first", "a whole number from -24 to 24", true, true, setWhole(-maxMoved, maxMoved, func(s *Search) *int { return &s.Transpose })},
	{"key", "the key of the song, for the positions", "one of " + list(harp.KeyNames()) + ", with m behind it for minor", true, true, setKey},
	{"limit", "how many ways to list", "a whole number from 1 to 36", true, true, setWhole(1, maxWays, func(s *Search) *int { return &s.Limit })},
	{"part", "the part or voice that has the melody", "its name as the file has it, at most 200 characters", false, true, setText(maxPart, func(s *Search) *string { return &s.Part })},
	{"verse", "the verse that stands under the notes", "a whole number from 1 to 99", false, true, setWhole(1, maxVerse, func(s *Search) *int { return &s.Verse })},
	{"tune", "which tune of a book", "a whole number from 1", false, true, setWhole(1, maxTune, func(s *Search) *int { return &s.Tune })},
}

// FindParameters lists what [Find] takes, as [Parameters] does for a tab.
func FindParameters() []Parameter { return searchList(func(k searchKind) bool { return k.find }) }

// ArrangeParameters lists what [Arrange] takes, as [Parameters] does for a tab.
func ArrangeParameters() []Parameter { return searchList(func(k searchKind) bool { return k.arrange }) }

func searchList(wanted func(searchKind) bool) (out []Parameter) {
	for _, k := range searchParameters {
		if wanted(k) {
			out = append(out, Parameter{Name: k.name, Help: k.help, Allowed: k.allowed, kind: k.shown()})
		}
	}
	for _, name := range harpParameters {
		p, _ := find(name)
		out = append(out, p)
	}
	return out
}

// shown is a parameter of a search as lists show it: a flag, or text with its
// usual value.
func (k searchKind) shown() kind {
	if k.allowed == flagAllowed {
		usual := true
		return flag{func(*Request) *bool { return &usual }}
	}
	usual := searchUsual[k.name]
	return checked{func(*Request) *string { return &usual }, func(text string) (string, bool) { return text, true }}
}

// searchUsual are the values that hold where none is given.
var searchUsual = map[string]string{"harp": best, "allow_bends": "any", "octave": "auto", "transpose": "0", "verse": "1"}

func setText(most int, at func(*Search) *string) func(*Search, given) error {
	return func(s *Search, v given) error {
		switch {
		case !v.is(isString):
			return errType
		case !utf8.ValidString(v.text):
			return errText
		case len(v.text) > most:
			return errAllowed
		}
		*at(s) = v.text
		return nil
	}
}

func setWhole(lo, hi int, at func(*Search) *int) func(*Search, given) error {
	return func(s *Search, v given) error {
		f, err := readNumber(v)
		switch {
		case err != nil:
			return err
		case !isWhole(f) || f < float64(lo) || f > float64(hi):
			return errAllowed
		}
		*at(s) = int(f)
		return nil
	}
}

func setHarp(s *Search, v given) error {
	if !v.is(isString) {
		return errType
	}
	if v.text == best {
		s.Harp = best
		return nil
	}
	name, ok := harpName(v.text)
	if !ok {
		return errAllowed
	}
	s.Harp = name
	return nil
}

func setHave(s *Search, v given) error {
	switch {
	case !v.is(isString):
		return errType
	case len(v.text) > maxHave || strings.TrimSpace(v.text) == "":
		return errAllowed
	}
	for _, name := range strings.Split(v.text, ",") {
		if _, err := harp.ParseKey(name); err != nil {
			return err
		}
	}
	s.Have = v.text
	return nil
}

func setBends(s *Search, v given) error {
	if !v.is(isString) {
		return errType
	}
	if _, err := harp.ParseBends(v.text); err != nil || v.text == "" {
		return errAllowed
	}
	s.AllowBends = v.text
	return nil
}

func setOvers(s *Search, v given) error {
	switch {
	case !v.is(isBoolean):
		return errType
	case v.text != "true" && v.text != "false":
		return errAllowed
	}
	s.AllowOvers = v.text == "true"
	return nil
}

func setOctave(s *Search, v given) error {
	if v.text == "auto" && v.is(isString) {
		s.Octave = nil
		return nil
	}
	if v.typ == isString {
		return errAllowed
	}
	octave := 0
	if err := setWhole(-maxOctave, maxOctave, func(*Search) *int { return &octave })(s, v); err != nil {
		return err
	}
	s.Octave = &octave
	return nil
}

func setKey(s *Search, v given) error {
	if !v.is(isString) {
		return errType
	}
	if _, err := songKey(v.text); err != nil {
		return errAllowed
	}
	s.Key = v.text
	return nil
}

// songKey is the key note of a song as a pitch class: "G", "Bb", "Am".
func songKey(text string) (int, error) {
	name := strings.TrimSuffix(strings.TrimSpace(text), "m")
	key, err := harp.ParseKey(name)
	return key.Tonic() % 12, err
}

// fillSearch sets every parameter of a search.
func fillSearch(s *Search, pairs []pair, wanted func(searchKind) bool) error {
	allowed := slices.Clone(harpParameters)
	for _, k := range searchParameters {
		if wanted(k) {
			allowed = append(allowed, k.name)
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
	if slices.Contains(harpParameters, name) {
		r := Request{Layout: s.Layout, Tuning: s.Tuning, A4: s.A4}
		err := r.set(name, v)
		s.Layout, s.Tuning, s.A4 = r.Layout, r.Tuning, r.A4
		return err
	}
	i := slices.IndexFunc(searchParameters, func(k searchKind) bool { return k.name == name })
	if i < 0 {
		return malformed(name, "there is no parameter %s here", shown(name))
	}
	k := searchParameters[i]
	if err := k.set(s, v); err != nil {
		return Parameter{Name: k.name, Allowed: k.allowed}.refuse(v, err)
	}
	return nil
}

// FindFromQuery reads what [Find] is asked from the query of a URL, without its
// question mark. The error is a *CallError.
func FindFromQuery(raw string) (Search, error) {
	pairs, err := splitQuery(raw)
	if err != nil {
		return Search{}, err
	}
	return findFrom(pairs)
}

// FindFromJSON reads what [Find] is asked from a JSON object of at most MaxBody
// bytes. The error is a *CallError.
func FindFromJSON(body []byte) (Search, error) {
	if len(body) > MaxBody {
		return Search{}, &CallError{Kind: TooLarge, Detail: "the body is too large: it may be 256 KiB"}
	}
	pairs, err := splitJSON(body)
	if err != nil {
		return Search{}, err
	}
	return findFrom(pairs)
}

func findFrom(pairs []pair) (Search, error) {
	s := NewSearch(FindLimit)
	if err := fillSearch(&s, pairs, func(k searchKind) bool { return k.find }); err != nil {
		return s, err
	}
	if !slices.ContainsFunc(pairs, func(p pair) bool { return p.name == "melody" && p.value.typ != isNull }) {
		return s, malformed("melody", "there is no melody: give one as the parameter melody")
	}
	return s, nil
}

// ArrangeFromQuery reads the settings of [Arrange] from the query of a URL,
// without its question mark. The error is a *CallError.
func ArrangeFromQuery(raw string) (Search, error) {
	s := NewSearch(ArrangeLimit)
	pairs, err := splitQuery(raw)
	if err != nil {
		return s, err
	}
	return s, fillSearch(&s, pairs, func(k searchKind) bool { return k.arrange })
}

// options are a search as tab/arrange takes it.
func (s Search) options(t *melody.Tune) (arrange.Options, error) {
	harps, err := s.harps()
	if err != nil {
		return arrange.Options{}, err
	}
	bends, err := harp.ParseBends(s.AllowBends)
	o := arrange.Options{
		Harps: harps, Transpose: s.Transpose, Verse: s.Verse,
		Wish: harp.Wish{Bends: bends, Overs: s.AllowOvers, Octave: s.Octave, Position: s.InPosition},
	}
	if s.Key != "" {
		o.HasSong = true
		o.Wish.Song, err = songKey(s.Key)
	}
	if err == nil && s.named() && s.InPosition > 0 {
		err = s.checkPosition(harps[0].Key, arrange.Song(t, o))
	}
	return o, err
}

// named says that one harp is asked for.
func (s Search) named() bool { return s.Harp != best }

// checkPosition refuses a position that the key does not have on the harp that is
// asked for.
func (s Search) checkPosition(key harp.Key, song int) error {
	if in := key.Position(song); in != s.InPosition {
		return &CallError{
			Kind: NotAllowed, Parameter: "in_position", Allowed: strconv.Itoa(in) + ", or another harp",
			Detail: "in_position is " + strconv.Itoa(s.InPosition) + ", but a song in " + harp.KeyNames()[song%12] + " is in position " + strconv.Itoa(in) + " on a harp in " + key.String(),
		}
	}
	return nil
}

// harps are those to choose from, each once.
func (s Search) harps() (out []harp.Harp, err error) {
	names := harp.KeyNames()
	switch {
	case s.named():
		names = []string{s.Harp}
	case s.Have != "":
		names = strings.Split(s.Have, ",")
	}
	layout, err := s.Layout.reeds()
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		key, err := harp.ParseKey(name)
		if err != nil {
			return nil, err
		}
		h, err := harp.New(key, layout, harp.Tuning(cmp.Or(s.Tuning, string(harp.Equal))), s.A4)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(out, func(o harp.Harp) bool { return o.Key == key }) {
			out = append(out, h)
		}
	}
	return out, nil
}
