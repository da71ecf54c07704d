package scan

import (
	"slices"
	"strconv"
	"strings"

	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// leastNotes is how many notes a page has before it is asked why none is drawn,
// or why most are in brackets.
const leastNotes = 6

// rowsOfHoles calls yield with the tokens of every line that may play.
func (p *reader) rowsOfHoles(yield func(*Line, []token)) {
	var room []token
	for _, l := range p.Lines {
		if l.Kind != tree.TabLine || !l.Cells.numbered(l.Body) {
			continue
		}
		room = l.tokens(room, l.Body)
		yield(l, room)
	}
}

// askNoDraw warns of a page on which nothing is drawn and single dashes stand
// with many notes, unless its bars add up with them as holds.
func (p *reader) askNoDraw(a *answers, u *usage) {
	if u.holes < leastNotes || a.breathed() || a.settled(saysHold) || u.usuals(saysDraw)+u.usuals(saysBlow)+u.breathed > 0 {
		return
	}
	var d dashes
	p.rowsOfHoles(d.count)
	if d.together || (d.behind+d.apart)*3 < u.holes || d.behind+d.apart == 0 || d.addUp() {
		return
	}
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.NoDrawFound, Span: d.first, Values: diag.Values{diag.Number("dashes", d.behind+d.apart)},
		Message: "No note of this page is drawn, and its {dashes} single dashes may be draw signs; they are read as holds.",
		Hint:    "Write Draw: 4- or Draw: - 4 at the top of the page, or Holds: - if they hold.",
		Edits: func(e *diag.Editor) {
			if d.behind > 0 {
				e.Header("Draw: 4-").ForPage()
			}
			if d.apart > 0 {
				e.Header("Draw: - 4").ForPage()
			}
			e.Header("Holds: -").Keep().ForPage()
		},
	})
}

// dashes are the dashes of a page.
type dashes struct {
	behind, apart int
	together      bool // two or more follow each other
	bars          []int
	first         diag.Span
}

// count adds the dashes of a line, and the beats of its bars.
func (d *dashes) count(l *Line, tokens []token) {
	beats, barred := 0, false
	for i := range tokens {
		t := &tokens[i]
		text := l.Cells[t.from:t.to].Text()
		d.together = d.together || text == "{" || strings.Contains(text, ">") // our own notation
		switch {
		case t.kind == holeToken:
			beats++
			glued := i+1 < len(tokens) && tokens[i+1].from == t.to && tokens[i+1].kind == holeToken // 4-5, a draw sign
			if tail := l.Cells[t.end:t.to].Text(); strings.Contains(tail, "-") && !glued {
				d.together = d.together || tail != "-"
				d.behind++
				beats++
				d.see(l, t)
			}
		case text == "|":
			if barred {
				d.bars = append(d.bars, beats)
			}
			beats, barred = 0, true
		case text == "-":
			d.apart++
			beats++
			d.see(l, t)
			d.together = d.together || i > 0 && strings.HasSuffix(l.Cells[tokens[i-1].from:tokens[i-1].to].Text(), "-")
		case strings.Contains(text, "--"):
			d.together = true
		}
	}
}

func (d *dashes) see(l *Line, t *token) {
	if d.first.End == 0 {
		d.first = l.Cells.Span(t.from, t.to)
	}
}

// addUp reports whether the whole bars of the page have the same number of beats
// with the dashes as holds.
func (d *dashes) addUp() bool {
	for _, beats := range d.bars {
		if beats != d.bars[0] {
			return false
		}
	}
	return len(d.bars) > 1
}

// askNumbers warns of numbers in brackets glued behind holes, as in 6(2).
func (p *reader) askNumbers(a *answers) {
	var first diag.Span
	var beats, apart []diag.Change
	var word string
	p.rowsOfHoles(func(l *Line, tokens []token) {
		for i := 0; i+3 < len(tokens); i++ {
			h, n := &tokens[i], &tokens[i+2]
			if h.kind != holeToken || tokens[i+1].kind != openToken || tokens[i+1].from != h.to || n.kind != holeToken || n.to-n.from != n.end-n.number || tokens[i+3].kind != closeToken || h.to != h.end {
				continue
			}
			at := l.Cells.Span(tokens[i+1].from, tokens[i+3].to)
			if word == "" {
				first = l.Cells.Span(h.from, tokens[i+3].to)
				word = p.Text[first.Start:first.End]
			}
			count, _ := strconv.Atoi(l.Cells[n.number:n.end].Text())
			beats = append(beats, diag.Change{Span: at, Text: strings.Repeat("-", max(min(count, leastNotes*2)-1, 0))})
			apart = append(apart, diag.Change{Span: diag.Span{Start: at.Start, End: at.Start}, Text: " "})
		}
	})
	if word == "" || a.bracketed != "" && a.bracketed != tree.BracketedOptional {
		return
	}
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.BracketedNumber, Span: first, Values: diag.Values{diag.Text("word", word)},
		Message: "{word} may be a hole and its beats, or two holes of which the second may be left out; it is read as two holes.",
		Hint:    "Write the beats as hold marks, or a blank before the bracket.",
		Edits: func(e *diag.Editor) {
			e.Offer("Write the numbers in brackets as hold marks", beats...).ForPage()
			e.Offer("Write a blank before the brackets", apart...).ForPage()
		},
	})
}

// askGroups reads brackets as chords where most of the notes are in them and
// draws are shown otherwise, with a warning.
func (p *reader) askGroups(a *answers, u *usage) {
	if a.bracketed != "" || u.holes < leastNotes || u.usuals(saysDraw) == 0 && !a.breathed() && a.rows == nil {
		return
	}
	var first diag.Span
	grouped := 0
	p.rowsOfHoles(func(l *Line, tokens []token) {
		for i := range tokens {
			if tokens[i].kind != openToken {
				continue
			}
			if k := chordEnd(l.Cells, tokens, i); k > 0 {
				if k > i+2 || tokens[i+1].end-tokens[i+1].number > 1 {
					grouped += k - i - 1
				}
				if first.End == 0 {
					first = l.Cells.Span(tokens[i].from, tokens[k].to)
				}
			}
		}
	})
	if grouped*2 <= u.holes {
		return
	}
	a.bracketed, a.round, a.square = tree.BracketedTogether, true, true
	p.Report(diag.Problem{
		Severity: diag.Warning, Code: diag.BracketsGroup, Span: first,
		Values:  diag.Values{diag.Text("group", p.Text[first.Start:first.End])},
		Message: "Most notes of this page are in brackets, so {group} is read as holes sounded together.",
		Hint:    "Write Bracketed: together at the top of the page, or Bracketed: optional if the notes may be left out.",
		Edits: func(e *diag.Editor) {
			e.Header("Bracketed: together").Keep().ForPage()
			e.Header("Bracketed: optional").ForPage()
		},
	})
}

// widest is how many holes a mouth can cover.
const widest = 5

// chordEnd is the closing bracket of a group that opens at token i and could be
// one chord: distinct holes of one breath, at most five wide; 0 for none.
func chordEnd(c Cells, tokens []token, i int) int {
	var seen [11]bool
	low, high := len(seen), 0
	k := i + 1
	for ; k < len(tokens) && tokens[k].kind == holeToken; k++ {
		t := &tokens[k]
		first := &tokens[i+1]
		if c[t.from:t.number].Text() != c[first.from:first.number].Text() || c[t.end:t.to].Text() != c[first.end:first.to].Text() {
			return 0
		}
		text := c[t.number:t.end].Text()
		hole, err := strconv.Atoi(text)
		if len(text) > 1 && k == i+1 && k+1 < len(tokens) && tokens[k+1].kind == closeToken {
			return k + 1 // [123], a chord as it is
		}
		if err != nil || hole < 1 || hole >= len(seen) || seen[hole] {
			return 0
		}
		seen[hole] = true
		low, high = min(low, hole), max(high, hole)
	}
	if k == i+1 || k == len(tokens) || tokens[k].kind != closeToken || high-low >= widest {
		return 0
	}
	return k
}

// chord rewrites brackets around holes that sound together.
func (r *respeller) chord(i int) (next, to int) {
	k := chordEnd(r.cells, r.tokens, i)
	if k == 0 {
		return 0, 0
	}
	start := len(r.out)
	first := &r.tokens[i+1]
	if r.full {
		n, ok := r.read(i + 1)
		if !ok || n.held < first.to || len(r.each) > 0 {
			return 0, 0
		}
		r.write(first, r.given(n), r.tokens[i].from)
		marks := slices.Clone(r.out[len(r.out)-n.bends-n.overs-n.shakes:])
		r.out = r.out[:len(r.out)-len(marks)]
		r.digits(i+2, k)
		r.out = append(r.out, marks...)
	} else {
		r.copy(first.from, first.end)
		r.digits(i+2, k)
		r.copy(r.tokens[k-1].end, r.tokens[k-1].to)
		r.out[start].at = r.cells[r.tokens[i].from].at
	}
	r.reach(r.tokens[k].to)
	return k + 1, r.tokens[k].to
}

// digits copies the numbers of some holes.
func (r *respeller) digits(i, end int) {
	for ; i < end; i++ {
		r.copy(r.tokens[i].number, r.tokens[i].end)
	}
}

// bareIsBlow reports whether the only letters or arrows of the page are for
// draw, so that bare numbers are blown.
func (p *reader) bareIsBlow() bool {
	drawn, bare := 0, 0
	for _, l := range p.Lines {
		if l.Kind != tree.TabLine {
			continue
		}
		for i := range l.first {
			switch w := l.first[i].Written; {
			case l.first[i].Kind != Note:
			case w.Letter == 'B' || w.Letter == '↑' || w.Sign != 0 || w.neutral:
				return false
			case w.Letter != 0:
				drawn++
			default:
				bare++
			}
		}
	}
	return drawn > 1 && bare > 1
}

// askBare is the one question about bare numbers beside drawn notes.
func (p *reader) askBare() {
	for _, l := range p.Lines {
		for i := range l.first {
			if it := &l.first[i]; l.Kind == tree.TabLine && it.Kind == Note && it.Written.Letter == 0 {
				p.Report(diag.Problem{
					Severity: diag.Warning, Code: diag.BareIsBlow, Span: it.Span, Values: diag.Values{diag.Text("note", p.Quote(it.Span))},
					Message: "Only drawn notes are marked on this page, so {note} and every other bare number is blown.",
					Hint:    "Write Blow: 4 at the top of the page if that is right.",
					Edits:   func(e *diag.Editor) { e.Header("Blow: 4").Keep().ForPage() },
				})
				return
			}
		}
	}
}

// lettered reports whether a letter is glued behind the bracket at token k, as in
// (456)B.
func lettered(tokens []token, k int) bool {
	return k+1 < len(tokens) && tokens[k+1].kind == breathToken && tokens[k+1].from == tokens[k].to && tokens[k+1].to == tokens[k+1].from+1
}

// letteredChord rewrites brackets around the holes of a chord whose letter stands
// behind them.
func (r *respeller) letteredChord(i, k int) (next, to int) {
	start := len(r.out)
	r.digits(i+1, k)
	r.out[start].at = r.cells[r.tokens[i].from].at
	r.copy(r.tokens[k+1].from, r.tokens[k+1].to)
	return k + 2, r.tokens[k+1].to
}
