package tab

// pairBrackets finds the bracket that closes each bracket, by cell.
func pairBrackets(cells []cell, from int) map[int]int {
	pairs := map[int]int{}
	var open []int
	for i := from; i < len(cells); i++ {
		switch r := cells[i].r; {
		case r == '(' || r == '[':
			open = append(open, i)
		case (r == ')' || r == ']') && len(open) > 0 && opensWith(cells[open[len(open)-1]].r, r):
			top := open[len(open)-1]
			open = open[:len(open)-1]
			pairs[top], pairs[i] = i, top
		}
	}
	return pairs
}

func opensWith(opener, closer rune) bool {
	return opener == '(' && closer == ')' || opener == '[' && closer == ']'
}

// open reads an opening bracket, or the whole of (x2).
func (s *scanner) open(i int) int {
	end, closed := s.pairs[i]
	if closed && s.group < 0 {
		if n, ok := readTimes(trimmed(s.cells[i+1 : end])); ok {
			s.add(timesItem, i, end+1)
			s.last().n = n
			return end + 1
		}
	}
	s.add(openBracket, i, i+1)
	if closed && s.group < 0 {
		s.group = len(s.items) - 1
	}
	return i + 1
}

// close reads a closing bracket. At the end of an outermost group it settles
// what the group is: notes stay, words become a name or a remark.
func (s *scanner) close(i int) int {
	s.add(closeBracket, i, i+1)
	opener, closed := s.pairs[i]
	if !closed || s.group < 0 || opener != s.items[s.group].from {
		return i + 1
	}
	group := s.items[s.group:]
	if s.holdsWords(opener, group) {
		s.words(i)
	} else {
		for k := range group {
			group[k].word, group[k].grouped = group[0].word, true
		}
		s.word = group[0].word
	}
	s.group = -1
	return i + 1
}

// holdsWords says that a group, opened at a cell, is no notes.
func (s *scanner) holdsWords(opener int, group []item) bool {
	if s.said != nil {
		return s.said[opener]
	}
	v := tally(group, s.cells)
	return !v.isTab()
}

// words replaces the open group, which ends at cell i, by one item.
func (s *scanner) words(i int) {
	first := s.items[s.group]
	k := remarkItem
	if s.cells[first.from].r == '[' {
		k = nameItem
	}
	s.items = s.items[:s.group]
	s.word = first.word
	s.add(k, first.from, i+1)
}
