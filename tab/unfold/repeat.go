package unfold

import (
	"fmt"

	"reedlark/tab/diag"
	"reedlark/tab/notes"
	"reedlark/tab/scan"
)

// step is one thing to do in playing order: an item, or a loop.
type step struct {
	it   *item
	loop *loop
}

// loop is a stretch that plays several times.
type loop struct {
	body    []step
	endings [][]step // what follows the body each time round; the last one lies behind the loop
	times   int
	sign    *item // what opens it, or repeats the line
	bars    bool  // its ends are repeat signs, and so bar lines
	depth   int   // loops inside it, itself included
	size    size
}

// frame is a repeat that is still open.
type frame struct {
	opener *item
	row    *row
	outer  []step
	ending int // where its first ending begins, -1 for none
}

// arranger puts the rows into playing order, repeats folded.
type arranger struct {
	*page
	now     []step
	open    []frame
	ignored int         // repeats too deep, still open
	mark    int         // where a lone :| repeats from
	ending  int         // where the first ending of such a repeat begins, -1 for none
	ended   *loop       // the repeat whose later ending is being read
	next    scan.Kind   // what follows on the row
	starts  map[int]int // the step each line begins at, where no repeat is open
	ends    map[int]int // and the step behind it
	row     *row
	cut     bool // a repeat that began on an earlier row ended on this one
}

// arrange builds the playing order of the page.
func (p *page) arrange() {
	items := 0
	for _, r := range p.rows {
		items += len(r.items)
	}
	a := &arranger{page: p, now: make([]step, 0, items), ending: -1, starts: map[int]int{}, ends: map[int]int{}}
	for _, r := range p.rows {
		a.rowStarts(r)
		a.line(r)
		a.rowEnds(r)
	}
	for len(a.open) > 0 {
		f := a.open[len(a.open)-1]
		a.open = a.open[:len(a.open)-1]
		a.now = append(f.outer, a.now...)
		p.Report(diag.Problem{
			Severity: diag.Error, Code: diag.NeverClosed, Span: f.opener.Span,
			Message: "This repeat is opened here and never closed.",
			Hint:    "Write :| where the repeat ends.",
			Edits:   func(e *diag.Editor) { e.EndLine(":|"); e.Write("|") },
		})
	}
	p.steps = a.now
}

// line adds one row.
func (a *arranger) line(r *row) {
	a.row, a.cut = r, false
	depth, start := len(a.open), len(a.now)
	var last []step // holds after x2, for the last time round
	for i := range r.items {
		it := &r.items[i]
		if it.Kind == scan.Hold && r.Timed.End > 0 && it.Span.Start > r.Timed.Start {
			last = append(last, step{it: it})
			continue
		}
		a.next = scan.Junk
		if i+1 < len(r.items) {
			a.next = r.items[i+1].Kind
		}
		a.item(it)
	}
	if r.Times > 1 {
		a.again(r, depth, start)
	}
	a.now = append(a.now, last...)
}

// again repeats a row, which begins at start.
func (a *arranger) again(r *row, depth, start int) {
	if a.cut || len(a.open) != depth || start > len(a.now) {
		a.Add(diag.Error, diag.TimesCut, r.Timed, "Repeat the line in full, or close the repeat first.", "A line cannot be repeated where it cuts a repeat in two.")
		return
	}
	a.wrap(start, r)
}

// wrap makes a loop of everything on the row, which begins at start.
func (a *arranger) wrap(start int, r *row) {
	sign := &item{Item: &notes.Item{Item: &scan.Item{Kind: scan.Times, Span: r.Timed, Line: r.Line.Number}}}
	ended := a.mark == len(a.now)
	a.now = a.fold(start, -1, r.Times, sign, false)
	if ended {
		a.markHere()
	} else if len(a.open) == 0 {
		a.mark = min(a.mark, start)
	}
}

// item adds one item.
func (a *arranger) item(it *item) {
	switch it.Kind {
	case scan.OpenRepeat:
		a.opens(it)
	case scan.CloseRepeat:
		a.closes(it)
	case scan.Name:
		a.add1(it)
		a.markHere()
	case scan.Ending:
		a.begins(it)
	case scan.Direction:
		a.add1(it)
	case scan.PlayAgain:
		a.playAgain(it)
	case scan.Bar:
		a.add1(it)
		if it.N > 1 {
			a.markHere()
		}
	case scan.Note, scan.Rest, scan.Hold, scan.Comma, scan.Junk:
		a.add1(it)
	}
}

func (a *arranger) add1(it *item) { a.now = append(a.now, step{it: it}) }

// markHere lets the next lone :| repeat from here.
func (a *arranger) markHere() {
	a.ended = nil
	if len(a.open) == 0 {
		a.mark, a.ending = len(a.now), -1
	}
}

// opens begins a repeat.
func (a *arranger) opens(it *item) {
	if len(a.open) >= a.limits.Depth {
		if a.ignored == 0 {
			a.tooDeep(it)
		}
		a.ignored++
		return
	}
	a.open = append(a.open, frame{it, a.row, a.now, -1})
	a.now, a.ended = nil, nil
}

func (a *arranger) tooDeep(it *item) {
	a.row.doubt = true
	a.Add(diag.Error, diag.TooDeep, it.Span, "", fmt.Sprintf("Repeats can stand inside repeats %d deep at most.", a.limits.Depth))
}

// closes ends the innermost repeat, or repeats from the last landmark.
func (a *arranger) closes(it *item) {
	switch {
	case a.ignored > 0:
		a.ignored--
	case a.ended != nil && a.next == scan.Ending:
		a.closesEnding()
	case len(a.open) == 0:
		a.closesAlone(it)
	default:
		f := a.open[len(a.open)-1]
		a.open = a.open[:len(a.open)-1]
		a.cut = a.cut || f.row != a.row
		a.now = append(f.outer, a.endingLoop(a.now, f.ending, it.Rounds, f.opener))
		a.markHere()
		a.ended = withEndings(a.now)
	}
}

// closesAlone repeats from the last :|, ||, section name or the start.
func (a *arranger) closesAlone(it *item) {
	start := a.mark
	if !plays(a.now[start:]) {
		a.Report(diag.Problem{
			Severity: diag.Warning, Code: diag.RepeatsNothing, Span: it.Span,
			Message: "There is nothing between this repeat sign and the one before, so it repeats nothing.",
			Hint:    "Write |: where the repeat begins.",
			Edits:   func(e *diag.Editor) { e.Write("|").Keep() },
		})
		a.mark = len(a.now)
		return
	}
	a.Add(diag.Note, diag.RepeatFromHere, it.Span, "Write |: where the repeat begins.", "This repeat has no beginning, so it plays from "+a.landmark(start)+".")
	a.cut = a.cut || firstLine(a.now[start:]) != a.row.Line.Number
	a.now = a.fold(start, a.ending, it.Rounds, it, true)
	a.markHere()
	a.ended = withEndings(a.now)
}

// landmark says where a lone repeat begins.
func (a *arranger) landmark(start int) string {
	if start == 0 {
		return "the start"
	}
	first := a.now[start:]
	for len(first) > 0 && first[0].loop == nil && !first[0].it.Sounding() {
		first = first[1:]
	}
	if len(first) > 0 && first[0].loop == nil {
		it := first[0].it
		return fmt.Sprintf("“%s” on line %d", a.Quote(it.Span), it.Line)
	}
	return fmt.Sprintf("line %d on", firstLine(a.now[start:]))
}

// fold makes a loop of the steps from start on; its first ending begins at
// ending, -1 for none. Holds that lead them belong to a note outside, so they
// stay before the loop.
func (a *arranger) fold(start, ending, times int, sign *item, bars bool) []step {
	from := start
	for i := start; i < len(a.now) && a.now[i].loop == nil && !a.now[i].it.Sounding(); i++ {
		if it := a.now[i].it; it.Kind == scan.Hold && !it.Braced {
			from = i + 1
		}
	}
	body := append([]step(nil), a.now[from:]...)
	if ending < from {
		return append(a.now[:from], a.loop(body, times, sign, bars))
	}
	return append(a.now[:from], a.endingLoop(body, ending-from, times, sign))
}

// loop makes a step of a body that plays several times. A body without notes
// has no time to repeat.
func (a *arranger) loop(body []step, times int, sign *item, bars bool) step {
	l := &loop{body: body, times: times, sign: sign, bars: bars, depth: 1}
	for _, s := range body {
		l.size = l.size.plus(sizeOf(s))
		if s.loop != nil {
			l.depth = max(l.depth, s.loop.depth+1)
		}
	}
	if l.depth > a.limits.Depth {
		a.tooDeep(sign)
		l.times = 1
	}
	if !l.size.plays() {
		l.times = 1
	}
	l.size = l.size.times(l.times)
	return step{loop: l}
}

// plays reports whether a note or a rest is among steps.
func plays(steps []step) bool {
	for _, s := range steps {
		if sizeOf(s).plays() {
			return true
		}
	}
	return false
}

// firstLine is the line on which steps begin; 0 where there are none.
func firstLine(steps []step) int {
	for _, s := range steps {
		if s.loop == nil {
			return s.it.Line
		}
		if n := firstLine(s.loop.body); n > 0 {
			return n
		}
	}
	return 0
}
