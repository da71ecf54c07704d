package perform

import (
	"strings"

	"reedlark/tab"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
)

// checkPlayable says once for each written note what no reed can do. It sounds
// all the same.
func (p *player) checkPlayable() {
	seen := map[*tab.Note]bool{}
	for i := range p.piece.Events {
		n := p.piece.Events[i].Note
		if n == nil || !n.Over && n.Bend == 0 || seen[n] {
			continue
		}
		seen[n] = true
		if n.Over {
			p.checkOver(n)
		} else {
			p.checkBend(n)
		}
	}
}

// checkBend warns of the first hole of a note that does not bend so far.
func (p *player) checkBend(n *tab.Note) {
	for _, hole := range n.Holes {
		depth := p.harp.Layout.Depth(hole, harp.Breath(n.Breath))
		switch {
		case depth >= n.Bend:
			continue
		case depth == 0:
			p.problems.Add(diag.Warning, diag.BendTooDeep, n.Span, "",
				"Hole %d does not bend on the %s of this harp; it sounds as written, but nobody can play it.", hole, n.Breath)
		default:
			p.problems.Add(diag.Warning, diag.BendTooDeep, n.Span, "bend it by "+semitones(depth)+" at most",
				"Hole %d bends by %s at most on the %s of this harp, not by %d; it sounds as written, but nobody can play it.",
				hole, semitones(depth), n.Breath, n.Bend)
		}
		return
	}
}

// checkOver speaks of the first hole of a note that has no over on its breath,
// or one that few players get.
func (p *player) checkOver(n *tab.Note) {
	breath := harp.Breath(n.Breath)
	for _, hole := range n.Holes {
		switch {
		case !p.harp.Layout.Over(hole, breath):
			hint := ""
			if p.harp.Layout.Over(hole, breath.Other()) {
				hint = "the over of this hole is on the " + string(breath.Other())
			}
			p.problems.Add(diag.Warning, diag.OverNone, n.Span, hint,
				"Hole %d has no over%s on this harp; it sounds as written, but nobody can play it.", hole, n.Breath)
		case harp.RareOver(hole):
			p.problems.Add(diag.Note, diag.OverRare, n.Span, "", "Few players get the over%s of hole %d.", n.Breath, hole)
		default:
			continue
		}
		return
	}
}

// semitones counts them in words.
func semitones(n int) string {
	return [...]string{
		"no semitone", "one semitone", "two semitones", "three semitones", "four semitones", "five semitones", "six semitones",
		"seven semitones", "eight semitones", "nine semitones", "ten semitones", "eleven semitones", "twelve semitones",
	}[min(n, 12)]
}

// checkMetre tells who counts dotted quarters that the tempo counts eighths.
func (p *player) checkMetre() {
	m := p.doc.Metre
	compound := m.Unit == 8 && (m.Beats == 6 || m.Beats == 9 || m.Beats == 12)
	if !compound || p.set.Tempo >= 100 {
		return
	}
	p.problems.Add(diag.Note, diag.BeatIsEighth, p.metrePlace(), "",
		"In %s a beat is an eighth, so the tempo of %g counts eighths; for %g dotted quarters a minute the tempo is %g.",
		metreName(m), p.set.Tempo, p.set.Tempo, 3*p.set.Tempo)
}

// metrePlace is the header that gives the metre, else the first note.
func (p *player) metrePlace() diag.Span {
	for _, line := range p.doc.Lines {
		if line.Kind == tab.HeaderLine && strings.Contains(line.Text, metreName(p.doc.Metre)) {
			return line.Span
		}
	}
	if len(p.piece.Events) > 0 {
		return p.piece.Events[0].Span
	}
	return diag.Span{}
}
