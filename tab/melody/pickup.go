package melody

import (
	"slices"

	"reedlark/tab/beat"
)

// MovePickups writes repeats that begin with a part of a bar so that they begin
// with a whole one: the part stands before the repeat, and once more at the end of
// its first ending. What is played stays the same. Only repeats that are played
// twice are looked at, and of those the ones that only names true, by the bar that
// opens them.
func (t *Tune) MovePickups(only func(bar int) bool) {
	p := &mover{from: t}
	for i := 0; i < len(t.Bars); {
		i = p.next(i, only)
	}
	if !p.moved {
		return
	}
	t.Rearrange(p.order)
	for k, signs := range p.signs {
		signs.At = t.Bars[k].At
		t.Bars[k] = signs
	}
	t.mend()
}

// mover finds the new order of bars, and the signs of each.
type mover struct {
	from  *Tune
	order []int
	signs []Bar
	moved bool
}

// add puts a bar at the end.
func (p *mover) add(i int, change func(*Bar)) {
	b := p.from.Bars[i]
	change(&b)
	p.order, p.signs = append(p.order, i), append(p.signs, b)
}

func same(*Bar) {}

// next adds the bar at i, or the repeat that begins there; it returns the bar
// after them.
func (p *mover) next(i int, only func(int) bool) int {
	end := p.close(i)
	if end <= i+1 || !only(i) || !p.complete(i, end) {
		p.add(i, same)
		return i + 1
	}
	p.moved = true
	ended := slices.ContainsFunc(p.from.Bars[i:end+1], func(b Bar) bool { return len(b.Endings) > 0 })
	p.add(i, func(b *Bar) { b.Open = false })
	for k := i + 1; k <= end; k++ {
		p.add(k, func(b *Bar) {
			b.Open = b.Open || k == i+1
			if k == end {
				b.Close, b.Stop, b.Double = 0, false, false
			}
			if k == end && !ended {
				b.Endings = []int{1}
			}
		})
	}
	p.add(i, func(b *Bar) { b.Open, b.Close, b.Stop, b.Section = false, 2, true, "" })
	if !ended {
		p.add(end, func(b *Bar) { b.Close, b.Endings, b.Stop = 0, []int{2}, true })
	}
	return end + 1
}

// close is the bar at the end of the repeat that begins at a bar, played twice; -1
// for none.
func (p *mover) close(i int) int {
	if !p.from.Bars[i].Open {
		return -1
	}
	for k := i; k < len(p.from.Bars); k++ {
		b := &p.from.Bars[k]
		switch {
		case k > i && b.Open || b.Jump.From != NoJump || b.Close > 2:
			return -1
		case b.Close == 2:
			return k
		}
	}
	return -1
}

// complete says that the first and the last bar of a repeat make one together.
func (p *mover) complete(first, last int) bool {
	t := p.from
	full := t.Bars[first].Metre.Length()
	length := func(i int) beat.Time { return t.BarEnd(i).Minus(t.Bars[i].At) }
	return full.Sign() > 0 && t.Bars[first].Metre == t.Bars[last].Metre && length(first).Plus(length(last)) == full
}
