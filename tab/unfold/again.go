package unfold

import (
	"fmt"

	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// playAgain plays rows that were played above once more. Where a repeat sign cuts
// through them that cannot be told, and a warning says so.
func (a *arranger) playAgain(it *item) {
	l := a.row.Line
	start, known := a.starts[l.Again.From]
	end, ended := a.ends[l.Again.To]
	if !known || !ended || len(a.open) > 0 || start >= end || end > len(a.now) || firstLine(a.now[start:]) != l.Again.From {
		a.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.RepeatsNothing, Span: it.Span,
			Message: "{words} plays nothing, because a repeat sign cuts through what it names.",
			Hint:    "Write the rows out.", Values: diag.Values{diag.Text("words", a.Quote(it.Span))},
		})
		return
	}
	body := append([]step(nil), a.now[start:end]...)
	played := &loop{body: body, times: l.Again.Times, sign: it}
	for _, s := range body {
		played.size = played.size.plus(sizeOf(s))
		if s.loop != nil {
			played.depth = max(played.depth, s.loop.depth)
		}
	}
	played.size = played.size.times(played.times)
	a.now = append(a.now, step{loop: played})
	a.markHere()
	a.sayAgain(it, l.Again)
}

// sayAgain says which rows are played once more.
func (a *arranger) sayAgain(it *item, again scan.Again) {
	problem := diag.Problem{
		Severity: diag.Note, Code: diag.PlayedAgain, Span: it.Span,
		Message: "{words} plays {lines} again.",
		Values:  diag.Values{diag.Text("words", a.Quote(it.Span)), diag.Text("lines", lineRange(again.From, again.To))},
		Edits:   func(e *diag.Editor) { e.HeadLine("text:").Label = "Do not play it again" },
	}
	if again.Doubtful {
		problem.Severity, problem.Hint = diag.Warning, "Write |: and :| around what repeats."
	}
	a.Report(problem)
}

// rowStarts and rowEnds note which steps a row has, where no repeat is open.
func (a *arranger) rowStarts(r *row) {
	if len(a.open) == 0 {
		a.starts[r.Line.Number] = len(a.now)
	}
}

func (a *arranger) rowEnds(r *row) {
	if len(a.open) == 0 {
		a.ends[r.Line.Number] = len(a.now)
	}
}

// lineRange names lines in words.
func lineRange(from, to int) string {
	if from == to {
		return fmt.Sprintf("line %d", from)
	}
	return fmt.Sprintf("lines %d to %d", from, to)
}
