package scan

import (
	"slices"

	"reedlark/tab/diag"
	"reedlark/tab/tree"
)

// legend is a line that says what the marks of the page stand for.
type legend struct {
	line  *Line
	span  diag.Span // from its first word to its last
	marks []sign
}

// readLegends finds the lines that explain marks. Words under a row are none.
func (p *reader) readLegends(u *usage) []legend {
	var out []legend
	for i, l := range p.Lines {
		if l.Kind != tree.TextLine && l.Kind != tree.SectionLine || l.forced() || l.blank() {
			continue
		}
		if i > 0 && p.Lines[i-1].Kind == tree.TabLine && l.Cells[l.At()].R != '(' {
			continue
		}
		words := l.Cells.legendWords(l.At(), u) // a - at its head is a mark here, no bullet
		if l.isLabelled(words) {
			continue
		}
		marks, from, to := u.explain(words)
		l.explains = to > 0 // even if of marks the page does not have
		if len(marks) > 0 {
			out = append(out, legend{line: l, span: l.Cells.Span(words[from].from, words[to].to), marks: marks})
			l.legend = true
			continue
		}
		if at, doubt := u.unexplained(l, words); doubt {
			p.unread = append(p.unread, at)
		}
	}
	return out
}

// isLabelled reports whether a line is a row of notes that a breath word heads.
func (l *Line) isLabelled(words []legendWord) bool {
	letter, body := l.breathLabel()
	if letter == 0 || !l.Cells[body:].isRow() {
		return false
	}
	joins := 0
	for _, w := range words {
		if w.kind == joinWord {
			joins++
		}
	}
	return joins == 1
}

// explain pairs the marks of a line with what they stand for.
func (u *usage) explain(words []legendWord) (marks []sign, from, to int) {
	from, to = len(words), 0
	take := func(m, meaning int) {
		marks = append(marks, u.resolve(words, m, meaning)...)
		from, to = min(from, m, meaning), max(to, m, meaning)
	}
	joined(words)
	for j := range words {
		if words[j].kind != joinWord {
			continue
		}
		left, right := nearest(words, j, -1), nearest(words, j, 1)
		switch {
		case left < 0 || right < 0:
		case words[left].kind == markWord && words[right].kind == meaningWord:
			take(left, right)
		case words[left].kind == meaningWord && words[right].kind == markWord:
			take(right, left)
		}
	}
	if len(marks) == 0 {
		for _, pair := range besides(words) {
			take(pair[0], pair[1])
		}
	} else {
		for i := range words { // “the others blown” beside what was joined
			if k := nearest(words, i, 1); words[i].kind == markWord && words[i].named && words[i].forms[0].bare() && k > 0 && words[k].kind == meaningWord && words[k].says.letter() != 0 {
				take(i, k)
			}
		}
	}
	return marks, from, to
}

// joined makes a dash between a mark and a meaning join them.
func joined(words []legendWord) {
	for i := 1; i < len(words); i++ { // “no circle”
		if a, w := &words[i-1], &words[i]; a.named && w.named && a.forms[0].bare() {
			w.forms, a.kind = a.forms, fillWord
		}
	}
	for i := 1; i+1 < len(words); i++ {
		a, w, b := &words[i-1], &words[i], &words[i+1]
		dash := w.kind == markWord && !w.named && len(w.forms) == 3 && w.forms[0].before == "-"
		if dash && a.kind == markWord && (a.letters || a.named) && b.kind == meaningWord && w.from > a.to && b.from > w.to {
			w.kind = joinWord
		}
	}
}

// mostFill is how many words that say nothing may stand between a join and what
// it joins.
const mostFill = 4

// nearest is the mark or meaning next to word i on one side; -1 for none.
func nearest(words []legendWord, i, step int) int {
	for k, n := i+step, 0; k >= 0 && k < len(words) && n <= mostFill; k, n = k+step, n+1 {
		switch w := &words[k]; w.kind {
		case markWord:
			return k
		case meaningWord:
			if !w.weak || n == 0 {
				return k
			}
		case stopWord, joinWord:
			if n > 0 || w.kind == joinWord || w.to-w.from > 1 {
				return bracketAside(words, k, step, n)
			}
		case fillWord:
			if n == 0 && len(w.forms) == 1 && bareBeside(words, k) {
				w.kind = markWord
				return k
			}
		}
	}
	return -1
}

// bareBeside reports whether a bare number is all there is on its side of a join.
func bareBeside(words []legendWord, k int) bool {
	return k == 0 || words[k-1].kind == stopWord
}

// bracketAside is the mark before a remark in brackets that stands before the
// join at the end of it: “underlined (I type _) = draw”.
func bracketAside(words []legendWord, k, step, _ int) int {
	if step > 0 || k == 0 {
		return -1
	}
	if w := words[k-1]; w.kind == markWord && words[k].kind == stopWord {
		return k - 1
	}
	return -1
}

// besides pairs marks and strong breath words that stand side by side, where two
// marks go with opposite breaths.
func besides(words []legendWord) [][2]int {
	for _, step := range []int{1, -1} {
		var pairs [][2]int
		breaths := map[says]bool{}
		for i := range words {
			if words[i].kind != markWord || words[i].letters {
				continue
			}
			k := i + step
			for k > 0 && k < len(words) && words[k].kind == fillWord && k != i+2*step {
				k += step
			}
			if k >= 0 && k < len(words) && words[k].kind == meaningWord && !words[k].weak && words[k].says.letter() != 0 {
				pairs = append(pairs, [2]int{i, k})
				breaths[words[k].says] = true
			}
		}
		if len(breaths) == 2 {
			return pairs
		}
	}
	return nil
}

// resolve finds how the page writes the mark of word m, and what the meaning
// that begins at a word makes of it.
func (u *usage) resolve(words []legendWord, m, meaning int) []sign {
	w := words[meaning]
	for k := meaning + 1; k < len(words) && k <= meaning+3 && words[k].kind != stopWord && words[k].kind != joinWord && words[k].kind != markWord; k++ {
		if next := words[k]; next.kind == meaningWord && !next.weak && next.says != w.says && (next.says == saysBend || next.says == saysOver) {
			w.says, w.bends = next.says, next.bends
		} else if next.kind == meaningWord && next.says == saysBend && w.says == saysBend {
			w.bends = max(w.bends, next.bends)
		}
	}
	var out []sign
	forms := words[m].forms
	if w.says == saysHold { // a hold stands behind what it holds
		forms = slices.DeleteFunc(slices.Clone(forms), func(x affix) bool { return x.before != "" })
	}
	for _, x := range u.best(forms, words[m].named) {
		out = append(out, sign{affix: x, says: w.says, bends: w.bends, word: words[m].letters})
	}
	return out
}

// best are the forms of a mark that the page writes: all brackets, else the one
// it writes most. A bare number is always written.
func (u *usage) best(forms []affix, isNamed bool) (out []affix) {
	most := 0
	for _, x := range forms {
		switch {
		case x.bare():
			return []affix{x}
		case x.brackets():
			if u.brackets[x] > 0 {
				out = append(out, x)
			}
			continue
		case !u.has(x):
			x = x.flipped()
		}
		if n := u.affixes[x]; n > most {
			most, out = n, []affix{x}
		}
	}
	return out
}

// unexplained reports a line that looks like a legend but could not be read: an
// equals sign beside a mark the page uses and no known meaning, or beside a
// breath and no known mark.
func (u *usage) unexplained(l *Line, words []legendWord) (diag.Span, bool) {
	for j := range words {
		if w := words[j]; w.kind != joinWord || l.Cells[w.from].R != '=' || j == 0 || j+1 == len(words) {
			continue
		}
		a, b := words[j-1], words[j+1]
		known := func(w legendWord) bool { return w.kind == markWord && u.hasAny(w.forms) }
		breath := func(w legendWord) bool { return w.kind == meaningWord && w.says.letter() != 0 && !w.weak }
		if known(a) && b.kind == fillWord && !usual(a.forms) || breath(a) && b.kind == fillWord || breath(b) && a.kind == fillWord {
			return l.Cells.Span(a.from, b.to), true
		}
	}
	return diag.Span{}, false
}

// usual reports whether one of the forms of a mark is read without a legend.
func usual(forms []affix) bool {
	return slices.ContainsFunc(forms, func(x affix) bool { return x.usual() != saysNothing })
}

// usual is what an affix stands for where nobody says otherwise.
func (x affix) usual() says {
	switch x {
	case affix{}, affix{before: "+"}, affix{before: "↑"}, affix{after: "↑"}:
		return saysBlow
	case affix{before: "-"}, affix{before: "↓"}, affix{after: "↓"}:
		return saysDraw
	case affix{after: "/"}, affix{after: "'"}, affix{after: "b"}:
		return saysBend
	case affix{after: "*"}, affix{after: "o"}, affix{after: "°"}:
		return saysOver
	case affix{after: "-"}, affix{after: "."}, affix{after: "_"}, affix{after: "·"}:
		return saysHold
	}
	switch text := x.before + x.after; text {
	case "B", "b":
		return saysBlow
	case "D", "d":
		return saysDraw
	}
	return saysNothing
}
