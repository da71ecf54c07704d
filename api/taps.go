package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"

	"reedlark/tab/rhythm"
)

// RhythmRequest asks for a page with its rhythm written in.
type RhythmRequest struct {
	Request
	Taps   []Tap     // in playing order
	Clicks []float64 // beats that were heard, in seconds; nil for none
	Whole  bool      // false for the row that From names, alone
}

// Tap is when one note was tapped. Times are seconds of one clock, from 0.
type Tap struct {
	Note  int     // of the page's written notes, from 0; grace notes are not counted
	Pass  int     // how many times the note has been played then, from 1
	At    float64 // where it begins
	Until float64 // where it ends; 0 where nobody says
}

const (
	tapsAllowed   = `a list of taps such as {"note": 0, "pass": 1, "at": 1.25, "until": 1.9}, in playing order`
	clicksAllowed = "a list of seconds from 0, strictly rising"
)

// RhythmFromJSON reads a whole request for a rhythm from a JSON object: the
// parameters of a tab, and taps, clicks and whole. The error is a *CallError.
func RhythmFromJSON(body []byte) (RhythmRequest, error) {
	own, others, err := splitRhythm(body)
	if err != nil {
		return RhythmRequest{}, err
	}
	q := RhythmRequest{Whole: true}
	if q.Request, err = FromJSON(others); err != nil {
		return q, err
	}
	return q, q.own(own)
}

// own reads the members that only a rhythm has.
func (q *RhythmRequest) own(members map[string]json.RawMessage) (err error) {
	if members["taps"] == nil {
		return malformed("taps", "there are no taps: give them as the parameter taps")
	}
	if q.Taps, err = readTaps(members["taps"]); err != nil {
		return err
	}
	if q.Clicks, err = readClicks(members["clicks"]); err != nil {
		return err
	}
	if whole := members["whole"]; whole != nil && json.Unmarshal(whole, &q.Whole) != nil {
		return &CallError{Kind: Malformed, Parameter: "whole", Allowed: string(isBoolean), Detail: "whole is neither true nor false"}
	}
	return nil
}

// splitRhythm takes the members that only a rhythm has out of an object. Null is as
// good as absent.
func splitRhythm(body []byte) (own map[string]json.RawMessage, others []byte, err error) {
	if len(body) > MaxBody {
		return nil, body, nil // refused with the rest
	}
	if err := soundJSON(body); err != nil {
		return nil, nil, err
	}
	dec := json.NewDecoder(bytes.NewReader(body))
	if first, _ := dec.Token(); first != json.Delim('{') {
		return nil, body, nil
	}
	own = map[string]json.RawMessage{}
	var rest []string
	for dec.More() {
		token, _ := dec.Token()
		name, _ := token.(string)
		var value json.RawMessage
		if err := dec.Decode(&value); err != nil {
			return nil, nil, malformed(name, "the JSON is broken: %s", err)
		}
		if !slices.Contains([]string{"taps", "clicks", "whole"}, name) {
			key, err := json.Marshal(name)
			if err != nil {
				return nil, nil, err
			}
			rest = append(rest, string(key)+":"+string(value))
			continue
		}
		if _, twice := own[name]; twice {
			return nil, nil, malformed(name, "%s is given more than once", name)
		}
		own[name] = value
		if string(value) == "null" {
			own[name] = nil
		}
	}
	return own, joinObject(rest), nil
}

func joinObject(members []string) []byte {
	out := []byte{'{'}
	for i, m := range members {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, m...)
	}
	return append(out, '}')
}

// readTaps reads a list of taps.
func readTaps(list json.RawMessage) ([]Tap, error) {
	w := walker{json.NewDecoder(bytes.NewReader(list))}
	w.dec.UseNumber()
	if w.next() != json.Delim('[') {
		return nil, &CallError{Kind: Malformed, Parameter: "taps", Allowed: tapsAllowed, Detail: "taps is no list"}
	}
	taps := []Tap{}
	for w.dec.More() {
		t, err := w.tap(nthTap(len(taps)))
		if err != nil {
			return nil, err
		}
		taps = append(taps, t)
	}
	return taps, nil
}

func nthTap(i int) string { return fmt.Sprintf("taps[%d]", i) }

// tap reads one tap.
func (w walker) tap(name string) (Tap, error) {
	bad := &CallError{
		Kind: Malformed, Parameter: name, Allowed: "an object with the numbers note, at and, where they are known, pass and until",
		Detail: name + " is no tap",
	}
	if w.next() != json.Delim('{') {
		return Tap{}, bad
	}
	members := map[string]*float64{}
	for w.dec.More() {
		key, _ := w.next().(string)
		value, twice := w.next(), members[key] != nil
		number, is := value.(json.Number)
		if twice || value != nil && !is || !slices.Contains([]string{"note", "pass", "at", "until"}, key) {
			return Tap{}, bad
		}
		if value == nil {
			continue
		}
		x, err := strconv.ParseFloat(number.String(), 64)
		if err != nil {
			return Tap{}, bad
		}
		members[key] = &x
	}
	w.next()
	return tapOf(members, bad)
}

// tapOf makes a tap of the members of its object.
func tapOf(members map[string]*float64, bad error) (Tap, error) {
	note, pass, at, until := members["note"], members["pass"], members["at"], members["until"]
	if note == nil || at == nil {
		return Tap{}, bad
	}
	t := Tap{Note: whichNumber(*note), Pass: 1, At: *at}
	if pass != nil {
		t.Pass = whichNumber(*pass)
	}
	if until != nil {
		t.Until = *until
		if *until <= 0 {
			t.Until = math.NaN() // given, and before everything
		}
	}
	return t, nil
}

// whichNumber is a whole number that counts something; -1 for any other.
func whichNumber(x float64) int {
	if !isWhole(x) || math.Abs(x) > 1<<31 {
		return -1
	}
	return int(x)
}

// readClicks reads a list of seconds.
func readClicks(list json.RawMessage) ([]float64, error) {
	if list == nil {
		return nil, nil
	}
	var clicks []*float64
	if json.Unmarshal(list, &clicks) != nil || slices.Contains(clicks, nil) {
		return nil, &CallError{Kind: Malformed, Parameter: "clicks", Allowed: clicksAllowed, Detail: "clicks is no list of numbers"}
	}
	out := make([]float64, len(clicks))
	for i, c := range clicks {
		out[i] = *c
	}
	return out, nil
}

// check refuses times that cannot be, naming the first.
func (q *RhythmRequest) check() error {
	before := math.Inf(-1)
	for i, c := range q.Clicks {
		if !(c >= 0 && c > before) {
			return &CallError{Kind: NotAllowed, Parameter: fmt.Sprintf("clicks[%d]", i), Allowed: clicksAllowed, Detail: fmt.Sprintf("click %d, at %g seconds, is not after the one before it", i, c)}
		}
		before = c
	}
	before = math.Inf(-1)
	for i, t := range q.Taps {
		switch {
		case !(t.At >= 0):
			return wrongTap(i, "seconds from 0", "tap %d is at %g seconds", i, t.At)
		case !(t.At > before):
			return wrongTap(i, "a time after the tap before it", "tap %d, at %g seconds, is not after the tap before it", i, t.At)
		case t.Until != 0 && !(t.Until > t.At):
			return wrongTap(i, "an end after its beginning", "tap %d ends before it begins", i)
		}
		before = t.At
	}
	return nil
}

func wrongTap(i int, allowed, format string, args ...any) *CallError {
	return &CallError{Kind: NotAllowed, Parameter: nthTap(i), Allowed: allowed, Detail: fmt.Sprintf(format, args...)}
}

// row is the line that alone is to have a rhythm; 0 for all.
func (q *RhythmRequest) row() (int, error) {
	switch {
	case q.Whole:
		return 0, nil
	case q.To != (Edge{}):
		return 0, &CallError{Kind: NotAllowed, Parameter: "to", Allowed: "nothing, where whole is false", Detail: "whole is false, and to says where the playing ends: from alone names the row"}
	case q.From.Line == 0:
		return 0, &CallError{Kind: NotAllowed, Parameter: "from", Allowed: "the line of a row of tab, as L3", Detail: "whole is false, and from does not name a row"}
	}
	return q.From.Line, nil
}

// matched finds the play that each tap is for. Later passes of a row may have no taps.
func (q *RhythmRequest) matched(page *rhythm.Page) ([]rhythm.Play, error) {
	line, err := q.row()
	if err != nil {
		return nil, err
	}
	var plays []rhythm.Play
	for _, p := range page.Plays {
		if line == 0 || page.Notes[p.Note].Line == line {
			plays = append(plays, p)
		}
	}
	if len(plays) == 0 {
		return nil, &CallError{Kind: NotAllowed, Parameter: "from", Allowed: "the line of a row of tab, as L3", Detail: fmt.Sprintf("line %d is no row of tab", line)}
	}
	m := matcher{page: page, taps: q.Taps, left: map[[2]int]bool{}, tapped: map[[2]int]bool{}}
	for _, p := range plays {
		if err := m.play(p); err != nil {
			return nil, err
		}
	}
	if len(m.out) < len(q.Taps) {
		i := len(m.out)
		return nil, wrongTap(i, "one tap for every note, in playing order", "tap %d is for note %d, which is not played then", i, q.Taps[i].Note)
	}
	return m.out, nil
}

// matcher gives the taps their plays, one after the other.
type matcher struct {
	page         *rhythm.Page
	taps         []Tap
	out          []rhythm.Play
	left, tapped map[[2]int]bool // passes of rows, by line and pass
}

// play takes the next tap for a play, or passes over the play.
func (m *matcher) play(p rhythm.Play) error {
	i := len(m.out)
	row := [2]int{m.page.Notes[p.Note].Line, p.Pass}
	if i < len(m.taps) && m.taps[i].Note == p.Note && m.taps[i].Pass == p.Pass && !m.left[row] {
		m.tapped[row] = true
		m.out = append(m.out, p)
		return nil
	}
	if p.Pass > 1 && !m.tapped[row] {
		m.left[row] = true
		return nil
	}
	want := fmt.Sprintf("note %d, pass %d", p.Note, p.Pass)
	if i == len(m.taps) {
		return &CallError{Kind: NotAllowed, Parameter: nthTap(i), Allowed: want, Detail: fmt.Sprintf("the taps end before note %d, in line %d", p.Note, row[0])}
	}
	return wrongTap(i, want, "tap %d is for note %d, pass %d, but %s is played then", i, m.taps[i].Note, m.taps[i].Pass, want)
}
