package api

import (
	"reedlark/openapi"
	"reedlark/tab"
)

// dialect is how a page writes its notes, as the answers have it.
func dialect(d tab.Dialect) openapi.Dialect {
	out := openapi.Dialect{
		Convention: openapi.DialectConvention(d.Convention), Bracketed: openapi.DialectBracketed(d.Bracketed), Because: openapi.DialectBecause(d.Because),
		Blow: orNull(d.Blow), Draw: orNull(d.Draw), Bend: orNull(d.Bend), Over: orNull(d.Over),
	}
	if d.Line > 0 {
		out.Line = &d.Line
	}
	return out
}

// orNull is a text, or null where it is empty.
func orNull(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
