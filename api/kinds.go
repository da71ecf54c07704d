package api

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// jsonType is the type a value has in JSON.
type jsonType string

// The types. In a query and in a flag everything is text, so a value from
// there is untyped and fits every kind that can read it.
const (
	untyped   jsonType = ""
	isString  jsonType = "a string"
	isNumber  jsonType = "a number"
	isBoolean jsonType = "true or false"
	isNull    jsonType = "null"
	isObject  jsonType = "an object"
	isArray   jsonType = "an array"
)

// given is a value as it came in.
type given struct {
	text string
	typ  jsonType
	own  *Layout // of an object
}

func (v given) is(t jsonType) bool { return v.typ == untyped || v.typ == t }

// kind reads one sort of value into its field of a T, writes the field as JSON
// in the form of RFC 8785, "" for none, and describes what the value may be.
type kind[T any] interface {
	set(t *T, v given) error
	json(t *T) string
	describe(p *Parameter)
}

// In what way a value is wrong; Parameter.refuse finds the words.
var (
	errType    = errors.New("has the wrong type")
	errNumber  = errors.New("is no plain decimal number")
	errText    = errors.New("is not valid UTF-8")
	errAllowed = errors.New("is not allowed")
	errSize    = errors.New("is too large")
)

// refuse says what is wrong with a value of this parameter.
func (p Parameter) refuse(v given, err error) *CallError {
	out := &CallError{Parameter: p.Name, Allowed: p.Allowed}
	switch {
	case errors.Is(err, errType):
		out.Detail = p.Name + " cannot be " + string(v.typ) + ": it is " + p.Allowed
	case errors.Is(err, errSize):
		out.Kind, out.Detail = TooLarge, p.Name+" is too large: it may be "+p.Allowed
	case errors.Is(err, errText):
		out.Detail = p.Name + " is not valid UTF-8"
	case errors.Is(err, errNumber):
		out.Detail = p.Name + " is " + shown(v.text) + ", which is no plain number: it may be " + p.Allowed
	case errors.Is(err, errAllowed):
		out.Kind, out.Detail = NotAllowed, p.Name+" is "+shown(v.text)+", but it may be "+p.Allowed
	default:
		out.Kind, out.Detail = NotAllowed, p.Name+": "+strings.ReplaceAll(err.Error(), "\n", "; ")
	}
	return out
}

// pageKind is the text of a tab.
type pageKind[T any] struct{ at func(*T) *string }

func page[T any](at func(*T) *string) kind[T] { return pageKind[T]{at} }

func (k pageKind[T]) describe(p *Parameter) { p.Allowed = "text of at most 64 KiB" }

func (k pageKind[T]) set(t *T, v given) error {
	switch {
	case !v.is(isString):
		return errType
	case len(v.text) > MaxTab:
		return errSize
	case !utf8.ValidString(v.text):
		return errText
	}
	*k.at(t) = v.text
	return nil
}

func (k pageKind[T]) json(t *T) string { return canonicalString(*k.at(t)) }

// checkedKind is text that a function checks and gives its usual spelling.
type checkedKind[T any] struct {
	at      func(*T) *string
	usual   func(string) (string, bool)
	allowed string
	words   []Word // all there are; nil for others than words
	offered []Word
}

func checked[T any](at func(*T) *string, usual func(string) (string, bool), allowed string, offered ...Word) kind[T] {
	return checkedKind[T]{at, usual, allowed, nil, offered}
}

// word is one of a list of words.
func word[T any](at func(*T) *string, words ...Word) kind[T] {
	is := func(text string) (string, bool) { return text, slices.Contains(values(words), text) }
	return checkedKind[T]{at, is, oneOf(values(words)), words, nil}
}

// formats are the words for all formats; each resource has some of them.
func formats[T any](at func(*T) *string) kind[T] {
	k := word(at, plain("wav", "flac", "json", "midi", "musicxml")...).(checkedKind[T])
	k.allowed = "wav or flac for a sound; json, midi or musicxml for a score"
	return k
}

// plain are words that are their own labels, a blank for each hyphen.
func plain(words ...string) []Word {
	out := make([]Word, len(words))
	for i, w := range words {
		out[i] = Word{w, strings.ReplaceAll(w, "-", " ")}
	}
	return out
}

func values(words []Word) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = w.Value
	}
	return out
}

// oneOf lists what may be chosen from.
func oneOf(words []string) string {
	if len(words) == 2 {
		return words[0] + " or " + words[1]
	}
	return "one of " + list(words)
}

func (k checkedKind[T]) describe(p *Parameter) {
	p.Allowed, p.Words, p.Offered = k.allowed, k.words, k.offered
}

func (k checkedKind[T]) set(t *T, v given) error {
	if !v.is(isString) {
		return errType
	}
	text, ok := k.usual(v.text)
	if !ok {
		return errAllowed
	}
	*k.at(t) = text
	return nil
}

func (k checkedKind[T]) json(t *T) string {
	if *k.at(t) == "" {
		return ""
	}
	return canonicalString(*k.at(t))
}

// numberKind is a number in a range.
type numberKind[T any] struct {
	at       func(*T) *float64
	min, max float64
	unit     string
}

// number is a number in a range; unit is what an error says behind it.
func number[T any](at func(*T) *float64, least, most float64, unit string) kind[T] {
	return numberKind[T]{at, least, most, unit}
}

func (k numberKind[T]) describe(p *Parameter) {
	p.Min, p.Max = k.min, k.max
	p.Allowed = p.Range() + k.unit
}

func (k numberKind[T]) set(t *T, v given) error {
	f, err := readNumber(v)
	switch {
	case err != nil:
		return err
	case f < k.min || f > k.max:
		return errAllowed
	}
	*k.at(t) = f
	return nil
}

func (k numberKind[T]) json(t *T) string { return decimal(*k.at(t)) }

// wholeKind is a whole number in a range, or one of a few. 16.0 is whole.
type wholeKind[T any] struct {
	at       func(*T) *int
	min, max float64
	labels   []string  // of all in the range, for forms; nil for none
	few      []float64 // nil for all in the range
}

func whole[T any](at func(*T) *int, least, most float64, labels ...string) kind[T] {
	return wholeKind[T]{at, least, most, labels, nil}
}

func few[T any](at func(*T) *int, few ...float64) kind[T] {
	return wholeKind[T]{at, slices.Min(few), slices.Max(few), nil, few}
}

func (k wholeKind[T]) describe(p *Parameter) {
	for _, f := range k.few {
		p.Words = append(p.Words, Word{decimal(f), decimal(f)})
	}
	if k.few != nil {
		p.Allowed = oneOf(values(p.Words))
		return
	}
	p.Min, p.Max = k.min, k.max
	p.Allowed = "a whole number from " + p.Range()
	for i, label := range k.labels {
		p.Offered = append(p.Offered, Word{decimal(k.min + float64(i)), label})
	}
}

func (k wholeKind[T]) set(t *T, v given) error {
	f, err := readNumber(v)
	switch {
	case err != nil:
		return err
	case !isWhole(f) || f < k.min || f > k.max || k.few != nil && !slices.Contains(k.few, f):
		return errAllowed
	}
	*k.at(t) = int(f)
	return nil
}

func (k wholeKind[T]) json(t *T) string { return strconv.Itoa(*k.at(t)) }

// flagKind is true or false.
type flagKind[T any] struct {
	at      func(*T) *bool
	offered []Word
}

// flag is true or false; off and on are what a form calls them.
func flag[T any](at func(*T) *bool, off, on string) kind[T] {
	return flagKind[T]{at, []Word{{"false", off}, {"true", on}}}
}

func (k flagKind[T]) describe(p *Parameter) {
	p.Allowed, p.Flag, p.Offered = "true or false", true, k.offered
}

func (k flagKind[T]) set(t *T, v given) error {
	switch {
	case !v.is(isBoolean):
		return errType
	case v.text != "true" && v.text != "false":
		return errAllowed
	}
	*k.at(t) = v.text == "true"
	return nil
}

func (k flagKind[T]) json(t *T) string { return strconv.FormatBool(*k.at(t)) }

func readNumber(v given) (float64, error) {
	if !v.is(isNumber) {
		return 0, errType
	}
	return plainNumber(v.text)
}

// plainNumber reads a decimal number that a float64 can hold; NaN, Infinity,
// hexadecimal, 1_000 and 1e999 are none.
func plainNumber(text string) (float64, error) {
	if strings.Trim(text, "0123456789+-.eE") != "" || strings.HasPrefix(text, "+") || danglingPoint(text) {
		return 0, errNumber
	}
	f, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(f, 0) {
		return 0, errNumber
	}
	return f, nil
}

// danglingPoint says that a decimal point has no digit after it.
func danglingPoint(text string) bool {
	i := strings.IndexByte(text, '.')
	return i >= 0 && (i+1 == len(text) || text[i+1] < '0' || text[i+1] > '9')
}
