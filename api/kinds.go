package api

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"reedlark/tab/harp"
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

// kind reads one sort of value into its field of a Request, and writes the
// field as JSON.
type kind interface {
	set(r *Request, v given) error
	json(r *Request) string // in the form of RFC 8785; "" for none
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

// page is the tab.
type page struct{ at func(*Request) *string }

func (k page) set(r *Request, v given) error {
	switch {
	case !v.is(isString):
		return errType
	case len(v.text) > MaxTab:
		return errSize
	case !utf8.ValidString(v.text):
		return errText
	}
	*k.at(r) = v.text
	return nil
}

func (k page) json(r *Request) string { return canonicalString(*k.at(r)) }

// checked is text that a function checks and gives its usual spelling.
type checked struct {
	at    func(*Request) *string
	usual func(string) (string, bool)
}

func (k checked) set(r *Request, v given) error {
	if !v.is(isString) {
		return errType
	}
	text, ok := k.usual(v.text)
	if !ok {
		return errAllowed
	}
	*k.at(r) = text
	return nil
}

func (k checked) json(r *Request) string {
	if *k.at(r) == "" {
		return ""
	}
	return canonicalString(*k.at(r))
}

// word is one of a list of words.
func word(at func(*Request) *string, words ...string) kind {
	return checked{at, func(text string) (string, bool) { return text, slices.Contains(words, text) }}
}

// number is a number in a range.
type number struct {
	at       func(*Request) *float64
	min, max float64
}

func (k number) set(r *Request, v given) error {
	f, err := readNumber(v)
	switch {
	case err != nil:
		return err
	case f < k.min || f > k.max:
		return errAllowed
	}
	*k.at(r) = f
	return nil
}

func (k number) json(r *Request) string { return decimal(*k.at(r)) }

// integer is a whole number that a function allows. 16.0 is whole.
type integer struct {
	at     func(*Request) *int
	allows func(float64) bool
}

func whole(at func(*Request) *int, lo, hi float64) kind {
	return integer{at, func(f float64) bool { return isWhole(f) && f >= lo && f <= hi }}
}

func oneOf(at func(*Request) *int, few ...float64) kind {
	return integer{at, func(f float64) bool { return slices.Contains(few, f) }}
}

func (k integer) set(r *Request, v given) error {
	f, err := readNumber(v)
	switch {
	case err != nil:
		return err
	case !k.allows(f):
		return errAllowed
	}
	*k.at(r) = int(f)
	return nil
}

func (k integer) json(r *Request) string { return strconv.Itoa(*k.at(r)) }

// flag is true or false.
type flag struct{ at func(*Request) *bool }

func (k flag) set(r *Request, v given) error {
	switch {
	case !v.is(isBoolean):
		return errType
	case v.text != "true" && v.text != "false":
		return errAllowed
	}
	*k.at(r) = v.text == "true"
	return nil
}

func (k flag) json(r *Request) string { return strconv.FormatBool(*k.at(r)) }

// edge is a beat or a line.
type edge struct{ at func(*Request) *Edge }

// lineNumber reads the name of a line of the page, L and its number; six digits
// are more lines than fit a tab.
func lineNumber(name string) (int, bool) {
	digits, found := strings.CutPrefix(name, "L")
	if !found || len(digits) > 6 || strings.Trim(digits, "0123456789") != "" || strings.HasPrefix(digits, "0") {
		return 0, false
	}
	line, err := strconv.Atoi(digits)
	return line, err == nil
}

func (k edge) set(r *Request, v given) error {
	if v.typ == isString || v.is(isString) && strings.HasPrefix(v.text, "L") {
		return k.setLine(r, v)
	}
	f, err := readNumber(v)
	switch {
	case err != nil:
		return err
	case f < 0:
		return errAllowed
	}
	*k.at(r) = Edge{Beat: f, IsBeat: true}
	return nil
}

func (k edge) setLine(r *Request, v given) error {
	if _, err := plainNumber(v.text); err == nil {
		return errType // a beat is a number in JSON
	}
	line, ok := lineNumber(v.text)
	if !ok {
		return errAllowed
	}
	*k.at(r) = Edge{Line: line}
	return nil
}

func (k edge) json(r *Request) string {
	switch e := *k.at(r); {
	case e.IsBeat:
		return decimal(e.Beat)
	case e.Line > 0:
		return canonicalString("L" + strconv.Itoa(e.Line))
	default:
		return ""
	}
}

// reeds is a layout, by name or of one's own.
type reeds struct{ at func(*Request) *Layout }

func (k reeds) set(r *Request, v given) error {
	if v.own != nil {
		_, err := harp.CustomLayout(v.own.Blow, v.own.Draw)
		*k.at(r) = *v.own
		return err
	}
	if !v.is(isString) {
		return errType
	}
	if !slices.Contains(harp.Layouts(), v.text) {
		return errAllowed
	}
	*k.at(r) = Layout{Name: v.text}
	return nil
}

func (k reeds) json(r *Request) string {
	l := *k.at(r)
	switch {
	case l.Blow != nil:
		return `{"blow":` + canonicalStrings(l.Blow) + `,"draw":` + canonicalStrings(l.Draw) + `}`
	case l.Name != "":
		return canonicalString(l.Name)
	default:
		return ""
	}
}

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
