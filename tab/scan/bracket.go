package scan

// pairBrackets finds the bracket that closes each bracket, by cell.
func pairBrackets(cells Cells, from int) map[int]int {
	pairs := map[int]int{}
	var open []int
	for i := from; i < len(cells); i++ {
		switch r := cells[i].R; {
		case r == '(' || r == '[':
			open = append(open, i)
		case (r == ')' || r == ']') && len(open) > 0 && Closes(cells[open[len(open)-1]].R, r):
			top := open[len(open)-1]
			open = open[:len(open)-1]
			pairs[top], pairs[i] = i, top
		}
	}
	return pairs
}

// Closes reports whether a bracket closes one of its own kind.
func Closes(opener, closer rune) bool {
	return opener == '(' && closer == ')' || opener == '[' && closer == ']'
}

// open reads an opening bracket, or the whole of (x2).
func (s *Lexer) open(i int) int {
	end, closed := s.pairs[i]
	if closed && s.group < 0 {
		if n, ok := s.Cells[i+1 : end].Trimmed().Times(); ok {
			s.Add(Times, i, end+1)
			s.Last().N = n
			return end + 1
		}
	}
	s.Add(OpenBracket, i, i+1)
	if closed && s.group < 0 {
		s.group = len(s.Items) - 1
	}
	return i + 1
}

// close reads a closing bracket. At the end of an outermost group it settles
// what the group is: notes stay, words become a name or a remark.
func (s *Lexer) close(i int) int {
	s.Add(CloseBracket, i, i+1)
	opener, closed := s.pairs[i]
	if !closed || s.group < 0 || opener != s.Items[s.group].From {
		return i + 1
	}
	group := s.Items[s.group:]
	if s.holdsWords(opener, group) {
		s.fold(i)
	} else {
		for k := range group {
			group[k].word, group[k].grouped = group[0].word, true
		}
		s.word = group[0].word
	}
	s.group = -1
	return i + 1
}

// holdsWords reports whether a group that opens at a cell is words, not notes.
func (s *Lexer) holdsWords(opener int, group []Item) bool {
	if s.wordy != nil {
		return s.wordy[opener]
	}
	v := tally(group, s.Cells)
	return !v.isTab()
}

// fold replaces the open group, which ends at cell i, by one item.
func (s *Lexer) fold(i int) {
	first := s.Items[s.group]
	k := Remark
	if s.Cells[first.From].R == '[' {
		k = Name
	}
	s.Items = s.Items[:s.group]
	s.word = first.word
	s.Add(k, first.From, i+1)
}
