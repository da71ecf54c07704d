package unfold

import (
	"reedlark/tab/diag"
	"reedlark/tab/scan"
)

// jump obeys the D.C. or D.S. of the page: it appends what is played once more,
// each repeat once with its last ending, up to the Fine or on to the coda. Only
// the first is obeyed, so that a page grows to twice its length at most.
func (p *page) jump() {
	at := p.findJump()
	if at < 0 {
		return
	}
	from, found := p.jumpsTo(at)
	if !found {
		return
	}
	it := p.steps[at].it
	var again []step
	again = once(p.steps[from:at], again)
	rest := p.steps[at+1:]
	switch it.N {
	case scan.DaCapoFine, scan.DalSegnoFine:
		again = p.upTo(it, again, scan.Fine)
	case scan.DaCapoCoda, scan.DalSegnoCoda:
		coda := indexOf(rest, scan.Coda)
		if coda < 0 {
			p.lost(it, "There is no Coda after it to go on from.", "Write Coda where it begins.")
			return
		}
		leaves := scan.ToCoda
		if indexOf(again, leaves) < 0 {
			leaves = scan.Coda
		}
		again = p.upTo(it, again, leaves)
		again = append(append([]step(nil), rest[:coda]...), again...)
		rest = rest[coda:]
	}
	p.steps = append(append(p.steps[:at+1:at+1], again...), rest...)
}

// findJump is the first D.C. or D.S. of the page that is not inside a repeat; -1
// for none. Any other is reported.
func (p *page) findJump() int {
	at := -1
	for i, s := range p.steps {
		switch {
		case s.loop != nil:
			p.jumpsInside(s.loop)
		case s.it.Kind != scan.Direction || !scan.IsJump(s.it.N):
		case at < 0:
			at = i
		default:
			p.lost(s.it, "Only the first one on a page is obeyed.", "Write out what is played once more.")
		}
	}
	return at
}

func (p *page) jumpsInside(l *loop) {
	for _, s := range l.body {
		if s.loop != nil {
			p.jumpsInside(s.loop)
		} else if s.it.Kind == scan.Direction && scan.IsJump(s.it.N) {
			p.lost(s.it, "It stands inside a repeat.", "Move it behind the repeat sign.")
		}
	}
}

// lost warns of a jump that is not obeyed.
func (p *page) lost(it *item, why, hint string) {
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.JumpLost, Span: it.Span,
		Message: "{sign} is not obeyed. " + why, Hint: hint,
		Values: diag.Values{diag.Text("sign", p.Quote(it.Span))},
	})
}

// jumpsTo is the step at which a jump goes on.
func (p *page) jumpsTo(at int) (from int, found bool) {
	switch it := p.steps[at].it; it.N {
	case scan.DalSegno, scan.DalSegnoFine, scan.DalSegnoCoda:
		from = indexOf(p.steps[:at], scan.Segno)
		if from < 0 {
			p.lost(it, "There is no Segno before it to go back to.", "Write Segno where it goes back to.")
			return 0, false
		}
		return from, true
	}
	return 0, true
}

// upTo is the steps up to a sign; all of them, with a warning, where it is missing.
func (p *page) upTo(jump *item, steps []step, sign int) []step {
	at := indexOf(steps, sign)
	if at < 0 {
		p.lost(jump, "The sign that it plays up to is missing, so it plays to here.", "Write Fine where the piece ends, or To Coda where it leaves.")
		return steps
	}
	return steps[:at]
}

// indexOf is the first step that is a direction, or has it inside; -1 for none.
func indexOf(steps []step, direction int) int {
	for i, s := range steps {
		if s.loop != nil && (indexOf(s.loop.body, direction) >= 0) || s.it != nil && s.it.Kind == scan.Direction && s.it.N == direction {
			return i
		}
	}
	return -1
}

// once appends steps with every repeat played once. Of endings none is inside a
// loop but those that go back; the last one follows it.
func once(steps, out []step) []step {
	for _, s := range steps {
		if s.loop == nil {
			out = append(out, s)
			continue
		}
		out = once(s.loop.body, out)
	}
	return out
}
