package musicxml

import "reedlark/tab/beat"

// tuplet is notes that stand together in the time of others.
type tuplet struct {
	actual int
	last   *note
	length beat.Time // quarters so far
}

// group begins, goes on with or ends a tuplet at a note. One is whole as soon
// as its length needs no tuplet.
func (w *writer) group(n *note, v value) {
	if v.actual == v.normal {
		w.closeTuplet()
		return
	}
	if w.tuplet != nil && w.tuplet.actual != v.actual {
		w.closeTuplet()
	}
	if w.tuplet == nil {
		w.tuplet = &tuplet{actual: v.actual, last: n}
		n.mark("start")
	}
	w.tuplet.last = n
	w.tuplet.length = w.tuplet.length.Plus(v.length)
	if oddPart(w.tuplet.length.Denom()) == 1 {
		w.closeTuplet()
	}
}

func (w *writer) closeTuplet() {
	if w.tuplet != nil {
		w.tuplet.last.mark("stop")
		w.tuplet = nil
	}
}

func (n *note) mark(end string) {
	n.notate().Tuplets = append(n.notate().Tuplets, typed{end})
}
