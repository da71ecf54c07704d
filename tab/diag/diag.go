// Package diag says where on a page of tab something is wrong, and what to
// write instead.
//
// Inside the program a place is a [Span] of bytes of the page as typed. At the
// edge, and only there, [Source.PlaceAll] turns spans into lines and columns,
// counted from 1 in characters (code points), which is what people and editors
// count in. A byte-order mark has no column.
//
// A rule reports a [Problem]: a severity, a code, a message and, where it knows
// what to write instead, a function that builds the [Edit] values. PlaceAll
// calls that function only for the diagnostics it shows, so a page with
// thousands of problems costs no more than reading it.
//
//	list.Report(diag.Problem{
//		Severity: diag.Error, Code: diag.SameHoleTwice, Span: at,
//		Message: "{holes} names a hole twice.",
//		Values:  diag.Values{diag.Text("holes", "44")},
//		Edits:   func(e *diag.Editor) { e.Write("4 4") },
//	})
//
// Problems of one kind at many places become one [Diagnostic] with a count.
// [Apply] makes edits. A layer that does not know the text returns a plain
// error, and the layer that holds the span reports it.
package diag

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Severity says what a problem means for the sound.
type Severity string

// The three severities. An error has no sensible sound and the page is
// refused; a warning was skipped, repaired or guessed; a note is information.
const (
	Error   Severity = "error"
	Warning Severity = "warning"
	Note    Severity = "note"
)

// Span is a range of the page in bytes, End excluded.
type Span struct{ Start, End int }

// Problem is one thing to say about a page, placed in bytes.
type Problem struct {
	Severity Severity
	Code     Code
	Span     Span
	// Message is one plain sentence a beginner understands; Hint says what to
	// write instead and is empty where nothing is likely. In both, [List.Report]
	// replaces {name} by the value of that name.
	Message, Hint string
	Values        Values
	// Edits offers changes of the text, the likeliest first; nil for none. It
	// is called at most twice, when the problem is placed.
	Edits func(*Editor)
}

// List collects the problems of a page in the order they were found.
type List []Problem

// Add reports a problem without edits. The message is formatted as fmt.Sprintf
// does only when args are given, so a caller's text is never taken for a format.
func (l *List) Add(sev Severity, code Code, at Span, hint, message string, args ...any) {
	if len(args) > 0 {
		message = fmt.Sprintf(message, args...)
	}
	*l = append(*l, Problem{Severity: sev, Code: code, Span: at, Message: message, Hint: hint})
}

// Report adds a problem and fills its values into its sentences.
func (l *List) Report(p Problem) {
	p.Message, p.Hint = p.Values.fill(p.Message), p.Values.fill(p.Hint)
	*l = append(*l, p)
}

// Has reports whether a problem of this severity is on the list.
func (l List) Has(sev Severity) bool {
	return slices.ContainsFunc(l, func(p Problem) bool { return p.Severity == sev })
}

// Shorten keeps a very long word from filling a message.
func Shorten(s string) string {
	const most = 24 // characters
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// Value is one of the words or numbers that a message is made of.
type Value struct {
	Name string
	V    any // a string or an int
}

// Text is a value that is a word of the page or of ours; a long one is shortened.
func Text(name, word string) Value { return Value{name, Shorten(word)} }

// Number is a value that is a number.
func Number(name string, n int) Value { return Value{name, n} }

// Values is what a message is made of, by name.
type Values []Value

// MarshalJSON writes the values as an object, by name.
func (v Values) MarshalJSON() ([]byte, error) { return json.Marshal(v.Map()) }

// UnmarshalJSON reads what MarshalJSON writes, in the order of the names.
func (v *Values) UnmarshalJSON(text []byte) error {
	var all map[string]any
	if err := json.Unmarshal(text, &all); err != nil {
		return err
	}
	*v = nil
	for _, name := range slices.Sorted(maps.Keys(all)) {
		value := all[name]
		if n, is := value.(float64); is {
			value = int(n)
		}
		*v = append(*v, Value{name, value})
	}
	return nil
}

// Map holds the values by name.
func (v Values) Map() map[string]any {
	out := make(map[string]any, len(v))
	for _, x := range v {
		out[x.Name] = x.V
	}
	return out
}

// fill replaces every {name} in a sentence. What it puts in is not looked at
// again, so a page cannot smuggle a name in.
func (v Values) fill(sentence string) string {
	if len(v) == 0 || !strings.Contains(sentence, "{") {
		return sentence
	}
	pairs := make([]string, 0, 2*len(v))
	for _, x := range v {
		pairs = append(pairs, "{"+x.Name+"}", fmt.Sprint(x.V))
	}
	return strings.NewReplacer(pairs...).Replace(sentence)
}

// Reporter is what the stages of reading report to: the problems so far, and
// the page, whose words they quote.
type Reporter struct {
	List
	Text string
}

// Quote is what a span of the page holds, shortened.
func (r *Reporter) Quote(at Span) string { return Shorten(r.Text[at.Start:at.End]) }
