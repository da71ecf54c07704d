package api

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
)

// remark adds what there is to say about the rhythm to the diagnostics of the page
// it was written into.
func (w *tapped) remark(piece *Piece, left []int) {
	w.aboutLevel(piece)
	w.aboutTempo(piece)
	for _, line := range left {
		piece.reported.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.RhythmUnwritten, Span: rowOf(piece.doc, w.doc, line),
			Message: "The rhythm tapped for this line is not written: a beat of it is cut by a bar line, a bracket or the end of the line.",
			Hint:    "Move what cuts the beat, or write the rhythm of this line by hand.",
		})
	}
	w.aboutPasses(piece)
}

// rowOf is the span of a line of tab in the new page, by its number in the old one.
func rowOf(now, old *tab.Document, line int) diag.Span {
	before := 0
	for _, l := range old.Lines[:line-1] {
		if l.Kind == tab.TabLine {
			before++
		}
	}
	for _, l := range now.Lines {
		if l.Kind != tab.TabLine {
			continue
		}
		if before == 0 {
			return l.Span
		}
		before--
	}
	return diag.Span{}
}

// firstNote is where the piece begins on its page.
func firstNote(doc *tab.Document) diag.Span {
	for _, e := range doc.Unfold().Events {
		if e.Note != nil {
			return e.Span
		}
	}
	return diag.Span{}
}

// aboutLevel asks whether the beat is half or twice as long, where nobody said.
func (w *tapped) aboutLevel(piece *Piece) {
	if !w.free {
		return
	}
	tempo := int(math.Round(w.heard.Tempo))
	piece.reported.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.TempoGuessed, Span: firstNote(piece.doc),
		Message: "How long a beat is was not said: here it is a guess, {tempo} beats a minute.",
		Hint:    "Keep it, or take the page with beats of another length.",
		Values:  diag.Values{diag.Number("tempo", tempo)},
		Edits: func(e *diag.Editor) {
			for _, level := range w.levels() {
				other := atLevel(&w.heard, level.beats)
				if text, left := w.write(other); len(left) == 0 {
					e.Offer(fmt.Sprintf("%s: %.0f beats a minute", level.label, other.Tempo), difference(piece.req.Tab, text))
				}
			}
		},
	})
}

// level is another length of the beat: how many of it are one beat now.
type level struct {
	beats beat.Time
	label string
}

// levels are the other lengths whose tempo a page may have.
func (w *tapped) levels() (out []level) {
	all := []level{{beat.Whole(1).Over(2), "Beats twice as long"}, {beat.Whole(2), "Beats half as long"}}
	if w.heard.Metre.Unit >= 8 && w.heard.Metre.Beats%3 == 0 {
		all = append(all, level{beat.Whole(1).Over(3), "Beats three times as long"})
	}
	for _, l := range all {
		if tempo := w.heard.Tempo * l.beats.Float(); tempo >= beat.MinTempo && tempo <= beat.MaxTempo {
			out = append(out, l)
		}
	}
	return out
}

// aboutTempo offers to write the tempo of the taps, where the page says none or one
// that is more than 15 percent off.
func (w *tapped) aboutTempo(piece *Piece) {
	const far = .15
	given, tempo := w.tempo(), int(math.Round(w.heard.Tempo))
	problem := diag.Problem{
		Severity: diag.Note, Code: diag.TempoTapped, Span: firstNote(piece.doc),
		Message: "The taps go at {tempo} beats a minute, and the page does not say how fast it goes.",
		Values:  diag.Values{diag.Number("tempo", tempo)},
	}
	if given > 0 {
		if math.Abs(w.heard.Tempo-given) <= far*given {
			return
		}
		problem.Severity, problem.Code = diag.Warning, diag.TempoOff
		problem.Message = "The taps go at {tempo} beats a minute, but the tempo is {given}."
		problem.Values = append(problem.Values, diag.Number("given", int(math.Round(given))))
	}
	header := fmt.Sprintf("Tempo: %d", tempo)
	problem.Hint = "Write " + header + " above the first line of tab."
	problem.Edits = func(e *diag.Editor) {
		i := slices.IndexFunc(piece.doc.Lines, func(l tab.Line) bool {
			return l.Kind == tab.HeaderLine && strings.HasPrefix(strings.ToLower(strings.TrimSpace(l.Text)), "tempo")
		})
		if i < 0 {
			e.Header(header)
			return
		}
		e.Offer("Write "+header, diag.Change{Span: piece.doc.Lines[i].Span, Text: header})
	}
	piece.reported.Report(problem)
}

// aboutPasses says where the passes of a row differ. The last note of a row does not
// count: what follows it differs.
func (w *tapped) aboutPasses(piece *Piece) {
	chosen, said := w.chosen(&w.heard), map[int]bool{}
	for i, p := range w.plays {
		note := w.page.Notes[p.Note]
		last := p.Note+1 == len(w.page.Notes) || w.page.Notes[p.Note+1].Line != note.Line
		mine, other := w.heard.Notes[chosen[p.Note]], w.heard.Notes[i]
		if last || said[note.Line] || mine.Beats == other.Beats && mine.Rest == other.Rest {
			continue
		}
		said[note.Line] = true
		piece.reported.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.PassesDiffer, Span: rowOf(piece.doc, w.doc, note.Line),
			Message: "This line was tapped in two ways: a note lasts {beats} beats in pass {pass} and {other} in pass {otherPass}. Pass {pass} is written.",
			Hint:    "Listen to it, and tap the line again if it is wrong.",
			Values: diag.Values{
				diag.Text("beats", mine.Beats.String()), diag.Number("pass", w.plays[chosen[p.Note]].Pass),
				diag.Text("other", other.Beats.String()), diag.Number("otherPass", p.Pass),
			},
		})
	}
}

// difference is the one change of whole lines that makes a text another.
func difference(from, to string) diag.Change {
	start := 0
	for start < len(from) && start < len(to) && from[start] == to[start] {
		start++
	}
	start = strings.LastIndexByte(from[:start], '\n') + 1
	end := 0
	for end < min(len(from), len(to))-start && from[len(from)-1-end] == to[len(to)-1-end] {
		end++
	}
	if i := strings.IndexByte(from[len(from)-end:], '\n'); i >= 0 {
		end -= i
	} else {
		end = 0
	}
	return diag.Change{Span: diag.Span{Start: start, End: len(from) - end}, Text: to[start : len(to)-end]}
}
