package main

import (
	"slices"

	"reedlark/tab/diag"
)

// breathQuestions are the open questions about breath among diagnostics.
func breathQuestions(list []diag.Diagnostic) []diag.Diagnostic {
	return slices.DeleteFunc(slices.Clone(list), func(d diag.Diagnostic) bool {
		return d.Severity == diag.Note || !d.Code.AsksBreath()
	})
}

// questions are the diagnostics that somebody has to answer: those about breath,
// and other warnings that offer an edit for an answer.
func questions(list []diag.Diagnostic) []diag.Diagnostic {
	out := []diag.Diagnostic{}
	for _, d := range list {
		if d.Severity != diag.Note && d.Code.AsksBreath() || d.Severity == diag.Warning && len(d.Edits) > 0 {
			out = append(out, d)
		}
	}
	return out
}
