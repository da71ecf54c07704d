package main

import (
	"slices"

	"reedlark/tab/diag"
)

// breathCodes are the diagnostics that ask which notes are blown and which are
// drawn. A page is not rewritten while one of them is open: the answer would look
// certain.
var breathCodes = []diag.Code{
	"bare-is-blow", "brackets-may-be-draw", "unknown-marks", "no-draw-found", "legend-contradicts", "legend-unread",
	diag.BareNumber, diag.LowerCaseB, diag.HoldOrDraw,
}

// breathQuestions are the open questions about breath among diagnostics.
func breathQuestions(list []diag.Diagnostic) []diag.Diagnostic {
	return slices.DeleteFunc(slices.Clone(list), func(d diag.Diagnostic) bool {
		return d.Severity == diag.Note || !slices.Contains(breathCodes, d.Code)
	})
}

// questions are the diagnostics that somebody has to answer: those about breath,
// and other warnings that offer an edit for an answer.
func questions(list []diag.Diagnostic) []diag.Diagnostic {
	out := []diag.Diagnostic{}
	for _, d := range list {
		if d.Severity != diag.Note && slices.Contains(breathCodes, d.Code) || d.Severity == diag.Warning && len(d.Edits) > 0 {
			out = append(out, d)
		}
	}
	return out
}
