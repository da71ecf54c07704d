package unfold

// begins begins an ending. The first stays with the repeat that is open; a later
// one follows the repeat that was just closed.
func (a *arranger) begins(it *item) {
	switch {
	case it.N > 1:
		a.add1(it)
	case len(a.open) > 0:
		a.add1(it)
		a.open[len(a.open)-1].ending = len(a.now) - 1
	default:
		a.add1(it)
		a.ending = len(a.now) - 1
	}
}

// endingLoop makes a repeat of steps whose first ending begins at split, -1 for
// none. It plays twice; what follows it is its second ending.
func (a *arranger) endingLoop(steps []step, split, times int, sign *item) step {
	if split < 0 {
		return a.loop(steps, times, sign, true)
	}
	out := a.loop(steps[:split:split], 2, sign, true)
	out.loop.add(steps[split:])
	return out
}

// add gives a loop an ending more.
func (l *loop) add(ending []step) {
	l.endings = append(l.endings, ending)
	for _, s := range ending {
		l.size = l.size.plus(sizeOf(s))
	}
}

// withEndings is the loop that steps end with, where it has endings.
func withEndings(steps []step) *loop {
	if l := steps[len(steps)-1].loop; l != nil && len(l.endings) > 0 {
		return l
	}
	return nil
}

// closesEnding ends a second ending, or a later one, that goes back once more.
// What was read since the repeat becomes an ending of it.
func (a *arranger) closesEnding() {
	l := a.ended
	for i := len(a.now) - 1; i >= 0; i-- {
		if a.now[i].loop != l {
			continue
		}
		body := append([]step(nil), a.now[i+1:]...)
		a.now = a.now[:i+1]
		once := size{}
		for _, s := range l.body {
			once = once.plus(sizeOf(s))
		}
		l.size = l.size.plus(once)
		l.times++
		l.add(body)
		return
	}
}
