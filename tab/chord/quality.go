package chord

import (
	"slices"
	"strings"
)

// stack is a chord while its quality is read: for each degree of the scale
// above the root the semitones it lies at, 0 for none.
type stack struct {
	degrees [14]int // by degree, 1 to 13
	major   bool    // maj was written: a seventh is a major one
	dim     bool    // dim was written: a seventh is a diminished one
	named   bool    // something has been read
}

// usual is where the degrees of a dominant chord lie.
var usual = [14]int{2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 10, 9: 14, 10: 16, 11: 17, 13: 21}

// word is something a quality may say. Words are tried in order, so that the
// longer of two with the same beginning comes first.
type word struct {
	text string
	does func(*stack)
}

// first are the words that may stand at the head of a quality.
var first = []word{
	{"minor", minor},
	{"min", minor},
	{"mi", minor},
	{"major", major},
	{"maj", major},
	{"Maj", major},
	{"ma", major},
	{"M", major},
	{"Δ7", seventhOfMajor},
	{"Δ", seventhOfMajor},
	{"m", minor},
	{"-", minor},
	{"dim", diminished},
	{"°", diminished},
	{"º", diminished},
	{"o", diminished},
	{"ø7", halfDiminished},
	{"ø", halfDiminished},
	{"Ø7", halfDiminished},
	{"Ø", halfDiminished},
	{"aug", augmented},
	{"+", augmented},
	{"5", power},
}

// later are the words that may follow, any number of them.
var later = []word{
	{"maj7", seventhOfMajor},
	{"Maj7", seventhOfMajor},
	{"M7", seventhOfMajor},
	{"Δ7", seventhOfMajor},
	{"Δ", seventhOfMajor},
	{"maj9", ninthOfMajor},
	{"M9", ninthOfMajor},
	{"sus24", suspended24},
	{"sus2", suspended2},
	{"sus4", suspended4},
	{"sus", suspended4},
	{"add11", add(11)},
	{"add13", add(13)},
	{"add9", add(9)},
	{"add4", add(4)},
	{"add2", add(2)},
	{"add6", add(6)},
	{"no3", omit(3)},
	{"no5", omit(5)},
	{"omit3", omit(3)},
	{"omit5", omit(5)},
	{"6/9", sixNine},
	{"69", sixNine},
	{"13", extend(13)},
	{"11", extend(11)},
	{"9", extend(9)},
	{"7", extend(7)},
	{"6", add(6)},
	{"4", suspended4},
	{"2", add(9)},
	{"alt", altered},
	{"b5", alter(5, -1)},
	{"#5", alter(5, 1)},
	{"b9", alter(9, -1)},
	{"#9", alter(9, 1)},
	{"b11", alter(11, -1)},
	{"#11", alter(11, 1)},
	{"b13", alter(13, -1)},
	{"b6", alter(13, -1)},
	{"-5", alter(5, -1)},
	{"+5", alter(5, 1)},
	{"-9", alter(9, -1)},
	{"+9", alter(9, 1)},
	{"+11", alter(11, 1)},
	{"aug", augmented},
	{"+", augmented},
}

// readQuality reads what stands after the root.
func readQuality(text string) (tones []int, ok bool) {
	text = strings.NewReplacer("♭", "b", "♯", "#", "△", "Δ", "∆", "Δ", "(", "", ")", "", ",", "").Replace(text)
	if strings.HasPrefix(text, "madd") { // which is no "ma"
		text = "minadd" + text[len("madd"):]
	}
	s := &stack{degrees: [14]int{3: 4, 5: 7}}
	text = s.read(first, text)
	for text != "" {
		rest := s.read(later, text)
		if rest == text {
			return nil, false
		}
		text = rest
	}
	return s.tones(), true
}

// read takes one word off the head of a text, if there is one.
func (s *stack) read(words []word, text string) string {
	for _, w := range words {
		if rest, found := strings.CutPrefix(text, w.text); found {
			w.does(s)
			s.named = true
			return rest
		}
	}
	return text
}

// tones are the notes of the stack from the root up, each once.
func (s *stack) tones() []int {
	tones := []int{0}
	for _, semitones := range s.degrees {
		if class := semitones % 12; semitones > 0 && !slices.Contains(tones, class) {
			tones = append(tones, class)
		}
	}
	return tones
}

func major(s *stack)          { s.major = true }
func minor(s *stack)          { s.degrees[3] = 3 }
func augmented(s *stack)      { s.degrees[5] = 8 }
func power(s *stack)          { s.degrees[3] = 0 }
func suspended2(s *stack)     { s.degrees[3], s.degrees[2] = 0, 2 }
func suspended4(s *stack)     { s.degrees[3], s.degrees[4] = 0, 5 }
func suspended24(s *stack)    { suspended2(s); suspended4(s) }
func seventhOfMajor(s *stack) { s.degrees[7] = 11 }
func ninthOfMajor(s *stack)   { s.degrees[7], s.degrees[9] = 11, 14 }
func sixNine(s *stack)        { s.degrees[6], s.degrees[9] = 9, 14 }

// altered is the seventh chord of the altered scale.
func altered(s *stack) { s.degrees[5], s.degrees[7], s.degrees[9] = 8, 10, 15 }

func diminished(s *stack) {
	s.degrees[3], s.degrees[5], s.dim = 3, 6, true
}

func halfDiminished(s *stack) {
	s.degrees[3], s.degrees[5], s.degrees[7] = 3, 6, 10
}

// add puts one degree into the chord.
func add(degree int) func(*stack) {
	return func(s *stack) { s.degrees[degree] = usual[degree] }
}

// omit leaves one out.
func omit(degree int) func(*stack) {
	return func(s *stack) { s.degrees[degree] = 0 }
}

// alter puts one degree into the chord, moved.
func alter(degree, by int) func(*stack) {
	return func(s *stack) { s.degrees[degree] = usual[degree] + by }
}

// extend stacks thirds up to a degree: the seventh, and the ninth from 9 on.
// The eleventh takes the place of a major third, with which it clashes, and is
// left out of a thirteenth.
func extend(degree int) func(*stack) {
	return func(s *stack) {
		s.degrees[7] = s.seventh()
		if degree >= 9 && s.degrees[9] == 0 {
			s.degrees[9] = usual[9]
		}
		if degree == 11 && s.degrees[3] == usual[3] && !s.major {
			s.degrees[3] = 0
		}
		s.degrees[degree] = max(s.degrees[degree], s.degreeOf(degree))
	}
}

// degreeOf is where a degree lies in this chord.
func (s *stack) degreeOf(degree int) int {
	if degree == 7 {
		return s.seventh()
	}
	return usual[degree]
}

// seventh is where the seventh of the chord lies.
func (s *stack) seventh() int {
	switch {
	case s.degrees[7] > 0:
		return s.degrees[7]
	case s.major:
		return 11
	case s.dim:
		return 9
	}
	return usual[7]
}
