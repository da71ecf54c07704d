package api

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

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

// The ways that are listed where nobody says how many.
const (
	FindLimit    = 12
	ArrangeLimit = 6
)

// songKey is the key note of a song as a pitch class: "G", "Bb", "Am".
func songKey(text string) (int, error) {
	name := strings.TrimSuffix(strings.TrimSpace(text), "m")
	key, err := harp.ParseKey(name)
	return key.Tonic() % 12, err
}

// FindFromQuery reads what [Find] is asked from the query of a URL, without its
// question mark. The error is a *CallError.
func FindFromQuery(raw string) (Search, error) {
	pairs, err := SplitQuery(raw).pairs()
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
	if err := fillSearch(&s, pairs, isOfFind); err != nil {
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
	pairs, err := SplitQuery(raw).pairs()
	if err != nil {
		return s, err
	}
	return s, fillSearch(&s, pairs, isOfArrange)
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

// Cost is about what [Find] costs. ref: BenchmarkFind.
func (s Search) Cost() time.Duration {
	const perSearch, perByte = 1500, 8
	return us(perSearch + perByte*float64(len(s.Melody)))
}
