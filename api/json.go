package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// FromJSON reads a whole request from a JSON object of at most MaxBody bytes.
// Names are exact and stand once, null is absent. The error is a *CallError.
func FromJSON(body []byte) (Request, error) {
	if len(body) > MaxBody {
		return Request{}, &CallError{Kind: TooLarge, Detail: "the body is too large: it may be 256 KiB"}
	}
	pairs, err := splitJSON(body)
	if err != nil {
		return Request{}, err
	}
	return fill(pairs)
}

// splitJSON takes an object apart by its tokens. encoding/json's own way into
// a struct would take KEY for key and the last of two.
func splitJSON(body []byte) ([]pair, error) {
	if err := soundJSON(body); err != nil {
		return nil, err
	}
	w := walker{json.NewDecoder(bytes.NewReader(body))}
	w.dec.UseNumber()
	if w.next() != json.Delim('{') {
		return nil, malformed("", "the JSON is no object: write {\"tab\": …}")
	}
	var pairs []pair
	for w.dec.More() {
		name, _ := w.next().(string)
		value, err := w.value(name)
		if err != nil {
			return nil, err
		}
		pairs = append(pairs, pair{name, value})
	}
	return pairs, nil
}

// soundJSON refuses what is no JSON text, what is no UTF-8 and what no UTF-8
// can say; the decoder would repair the latter two in silence.
func soundJSON(body []byte) error {
	if !utf8.Valid(body) {
		return malformed("", "the JSON is not valid UTF-8")
	}
	var whole json.RawMessage
	err := json.Unmarshal(body, &whole)
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return malformed("", "the JSON is broken at byte %d: %s", syntax.Offset, syntax)
	case err != nil:
		return malformed("", "the JSON is broken: %s", err)
	case loneSurrogate(string(body)):
		return malformed("", "the JSON has half of a surrogate pair: write both \\u codes, or the character itself")
	}
	return nil
}

// loneSurrogate looks for a \u code that is half a character. ref: RFC 8259,
// section 8.2, and RFC 7493, section 2.1.
func loneSurrogate(body string) bool {
	for {
		i := strings.IndexByte(body, '\\')
		if i < 0 {
			return false
		}
		r := codeUnit(body[i:])
		if !utf16.IsSurrogate(r) {
			body = body[i+2:]
			continue
		}
		if utf16.DecodeRune(r, codeUnit(body[i+6:])) == utf8.RuneError {
			return true
		}
		body = body[i+12:]
	}
}

// codeUnit is the \uXXXX that s begins with, or 0.
func codeUnit(s string) rune {
	if len(s) < 6 || s[0] != '\\' || s[1] != 'u' {
		return 0
	}
	u, err := strconv.ParseUint(s[2:6], 16, 16)
	if err != nil {
		return 0
	}
	return rune(u)
}

// walker reads the tokens of JSON that is known to be sound.
type walker struct{ dec *json.Decoder }

func (w walker) next() json.Token {
	t, err := w.dec.Token()
	if err != nil {
		return nil
	}
	return t
}

// value reads one value. Only a layout may be an object, so depth is bounded
// by what is asked for.
func (w walker) value(name string) (given, error) {
	v := scalar(w.next())
	switch {
	case v.typ == isObject && name == "layout":
		own, err := w.layout()
		return given{own: own, typ: isObject}, err
	case v.typ == isObject || v.typ == isArray:
		return v, wrongType(name, v)
	}
	return v, nil
}

func scalar(t json.Token) given {
	switch t := t.(type) {
	case string:
		return given{text: t, typ: isString}
	case json.Number:
		return given{text: t.String(), typ: isNumber}
	case bool:
		return given{text: strconv.FormatBool(t), typ: isBoolean}
	case json.Delim:
		if t == '[' {
			return given{typ: isArray}
		}
		return given{typ: isObject}
	default:
		return given{typ: isNull}
	}
}

func wrongType(name string, v given) error {
	if p, ok := find(name); ok {
		return p.refuse(v, errType)
	}
	return unknown(name, append(names(), linkName))
}

// layout reads {"blow": [...], "draw": [...]}, its brace already read.
func (w walker) layout() (*Layout, error) {
	own := &Layout{Name: "custom", Blow: []string{}, Draw: []string{}}
	seen := map[string]bool{}
	for w.dec.More() {
		name, _ := w.next().(string)
		into, ok := map[string]*[]string{"blow": &own.Blow, "draw": &own.Draw}[name]
		if !ok || seen[name] {
			return nil, malformed("layout", "layout has %s, but it has blow and draw, once each", shown(name))
		}
		seen[name] = true
		if err := w.notes(name, into); err != nil {
			return nil, err
		}
	}
	w.next()
	return own, nil
}

func (w walker) notes(name string, into *[]string) error {
	bad := malformed("layout", "%s of layout is an array of ten notes such as \"C4\"", name)
	if w.next() != json.Delim('[') {
		return bad
	}
	for w.dec.More() {
		note, ok := w.next().(string)
		if !ok {
			return bad
		}
		*into = append(*into, note)
	}
	w.next()
	return nil
}
