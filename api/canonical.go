package api

import (
	"encoding/json"
	"fmt"
	"sort"
	"strings"
)

// Canonical writes the request as one JSON object in the form of RFC 8785,
// with what is at its default left out, so that two calls that ask for the same
// are the same text. The tab is always in it.
func (r Request) Canonical() string {
	usual := Defaults()
	var members []string
	for _, p := range parameters {
		value := p.json(&r)
		if p.Name == "tab" || value != p.json(&usual) {
			members = append(members, canonicalString(p.Name)+":"+value)
		}
	}
	sort.Strings(members) // the names are ASCII and a quote sorts before every letter
	return "{" + strings.Join(members, ",") + "}"
}

// decimal writes a number as ECMAScript does. ref: RFC 8785, section 3.2.2.3.
func decimal(v float64) string {
	text, err := json.Marshal(v + 0) // documented to convert as ECMAScript does, but for -0
	if err != nil {
		panic(err) // NaN and infinities are refused on the way in
	}
	return string(text)
}

// canonicalString writes a string with the fewest escapes. ref: RFC 8785,
// section 3.2.2.2.
func canonicalString(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		short := strings.IndexRune("\b\t\n\f\r\"\\", r)
		switch {
		case short >= 0:
			b.WriteString(`\` + `btnfr"\`[short:short+1])
		case r < ' ':
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

func canonicalStrings(list []string) string {
	quoted := make([]string, len(list))
	for i, s := range list {
		quoted[i] = canonicalString(s)
	}
	return "[" + strings.Join(quoted, ",") + "]"
}
