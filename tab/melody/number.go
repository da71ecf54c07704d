package melody

import "strconv"

// NumberBars gives bars their printed numbers: "0" to a pick-up, then 1, 2 and
// so on. Two parts of one bar, either side of a repeat sign or a double bar
// line, share a number.
func (t *Tune) NumberBars() {
	next := 1
	for i := range t.Bars {
		b := &t.Bars[i]
		full, length := b.Metre.Length(), t.BarEnd(i).Minus(b.At)
		short := length.Less(full)
		if i == 0 && short && len(t.Bars) > 1 {
			b.Number = "0"
			continue
		}
		if i > 0 && short && t.completes(i) && next > 1 {
			next--
		}
		b.Number = strconv.Itoa(next)
		next++
	}
}

// completes says that a bar and the one before it, cut by a sign of the form,
// are one bar.
func (t *Tune) completes(i int) bool {
	before := &t.Bars[i-1]
	cut := before.Close > 0 || before.Double || before.Stop || t.Bars[i].Open
	both := t.BarEnd(i).Minus(before.At)
	return cut && both == t.Bars[i].Metre.Length()
}
