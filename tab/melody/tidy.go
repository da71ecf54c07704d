package melody

import "slices"

// Sounds says whether a tune has a note other than grace notes.
func (t *Tune) Sounds() bool {
	for i := range t.Notes {
		if !t.Notes[i].Grace {
			return true
		}
	}
	return false
}

// TidyRepeats lets every repeat say where it begins, and takes away the signs
// that open one which is never closed, and the endings of no repeat.
func (t *Tune) TidyRepeats() {
	t.dropEndings()
	start, opened := 0, -1
	for i := range t.Bars {
		b := &t.Bars[i]
		if b.Open {
			if opened >= 0 {
				t.Bars[opened].Open = false
			}
			start, opened = i, i
		}
		if b.Close == 0 {
			continue
		}
		t.Bars[start].Open = true
		opened = -1
		if i+1 == len(t.Bars) || len(t.Bars[i+1].Endings) == 0 {
			start = i + 1
		}
	}
	if opened >= 0 {
		t.Bars[opened].Open = false
	}
}

// openLastEnding takes the repeat sign off the end of the last ending: nothing is
// left to be played again.
func (t *Tune) openLastEnding(first, end int) {
	last := 0
	for _, b := range t.Bars[first:end] {
		for _, pass := range b.Endings {
			last = max(last, pass)
		}
	}
	at := first
	for i := first; i < end; i = t.endingEnd(i) + 1 {
		at = i
	}
	if slices.Contains(t.Bars[at].Endings, last) && len(t.Bars[at].Endings) == 1 && at > first {
		for i := at; i < end; i++ {
			t.Bars[i].Close = 0
		}
	}
}

// dropEndings takes away endings that stand side by side where none is the first
// or no repeat sign is among them, so that all of them are played.
func (t *Tune) dropEndings() {
	for i := 0; i < len(t.Bars); i++ {
		if len(t.Bars[i].Endings) == 0 {
			continue
		}
		first, closed := i, false
		begins := slices.Contains(t.Bars[i].Endings, 1)
		for i < len(t.Bars) && len(t.Bars[i].Endings) > 0 {
			end := t.endingEnd(i)
			for k := i; k <= end; k++ {
				closed = closed || t.Bars[k].Close > 0
			}
			i = end + 1
		}
		for k := first; k < i && !(closed && begins); k++ {
			t.Bars[k].Endings, t.Bars[k].Stop = nil, false
		}
		if closed && begins {
			t.openLastEnding(first, i)
		}
		i--
	}
}
