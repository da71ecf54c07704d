package scan

// mark is something on a line that was recognised from its surroundings before
// the line is cut into items: an ending, a direction, words.
type mark struct {
	kind Kind
	n    int // what its kind counts
	to   int // the cell after it
}

// mark notes what begins at a cell.
func (l *Line) mark(from int, m mark) {
	if l.marks == nil {
		l.marks = map[int]mark{}
	}
	l.marks[from] = m
}
