package scan

import "reedlark/tab/tree"

// free reports whether the caller leaves the convention to the page.
func (p *reader) free() bool { return p.opt.Convention == "" || p.opt.Convention == tree.Auto }

// describe writes down the dialect for the caller, once the notes have voted.
func (p *reader) describe(c census) {
	a := p.answers
	if a == nil {
		a = &answers{}
	}
	d := tree.Dialect{
		Convention: a.convention(p.Convention), Because: a.because, Line: a.line, Bracketed: a.bracketed,
		Blow: a.markOf(saysBlow), Draw: a.markOf(saysDraw), Bend: a.markOf(saysBend), Over: a.markOf(saysOver),
	}
	if d.Bracketed == "" {
		d.Bracketed = tree.BracketedOptional
	}
	switch {
	case !p.free():
		d.Because = tree.BecauseRequest
	case d.Because != "":
	case c.signs+c.letters+c.alone+c.arrows > 0:
		d.Because = tree.BecauseNotes
	default:
		d.Because = tree.BecauseDefault
	}
	p.usualMarks(&d, a)
	p.Dialect = d
}

// usualMarks names the marks of signs, letters and arrows that the page has.
func (p *reader) usualMarks(d *tree.Dialect, a *answers) {
	marks := p.typed()
	set := func(field *string, found string) {
		if *field == "" {
			*field = found
		}
	}
	if !a.full {
		set(&d.Blow, marks[saysBlow])
		set(&d.Draw, marks[saysDraw])
	}
	if d.Bracketed == tree.BracketedDraw && d.Draw == "" {
		d.Draw = a.bracketMark()
	}
	if d.Bracketed == tree.BracketedBlow && d.Blow == "" {
		d.Blow = a.bracketMark()
	}
	set(&d.Bend, marks[saysBend])
	set(&d.Over, marks[saysOver])
}

// bracketMark is a hole in the brackets that mean a breath.
func (a *answers) bracketMark() string {
	if a.round {
		return inRound.around("4")
	}
	return inSquare.around("4")
}

// typed finds the first spelling of each breath, a bend and an over among the notes.
func (p *reader) typed() map[says]string {
	out := map[says]string{}
	for _, l := range p.Lines {
		for i := range l.first {
			if it := &l.first[i]; l.Kind == tree.TabLine && it.Kind == Note && len(out) < 4 {
				p.typedNote(out, &it.Written, l.Cells[it.From:it.To])
			}
		}
	}
	return out
}

// typedNote adds what one note shows.
func (p *reader) typedNote(out map[says]string, w *Written, c Cells) {
	set := func(s says, text string) {
		if _, known := out[s]; !known {
			out[s] = text
		}
	}
	breath := saysBlow
	if w.Sign == '-' || w.Letter == 'D' || w.Letter == '↓' {
		breath = saysDraw
	}
	switch {
	case w.Sign != 0:
		set(breath, string(w.Sign)+"4")
	case w.Letter != 0 && w.Before:
		set(breath, string(w.Letter)+"4")
	case w.Letter != 0:
		set(breath, "4"+string(w.Letter))
	case p.Convention == tree.Signs:
		set(saysBlow, "4")
	}
	for _, x := range c {
		switch s := (affix{after: string(x.R)}).usual(); {
		case s == saysBend && w.Bends > 0, s == saysOver && w.Overs > 0:
			set(s, "4"+string(x.R))
		}
	}
}
