package band

import (
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/chord"
)

// Where the players play, MIDI notes. The chords lie under the middle of a
// harp, the bass where small loudspeakers still have it. by ear.
const (
	lowestBass, highestBass = 38, 52 // D2 to E3
	lowest, highest         = 53, 70 // F3 to Bb4
	middleBass, middle      = 43, 61
)

// players are where the band is.
type players struct {
	bass   int   // 0 before its first note
	voices []int // of the chords, from below; nil before their first
}

// play plays a segment.
func (p *players) play(s segment) []Note {
	var out []Note
	voices := Lead(p.voices, s.chord)
	p.voices = voices
	bars := 0
	for i, st := range s.strokes {
		if st.bass {
			odd := i > 0 && (st.group%2 == 1 || st.group == alone && bars%2 == 1)
			class := under(s.chord, odd)
			if st.walks {
				class = walk(s.chord, bars)
			}
			p.bass = near(p.bass, class)
			bars++
			out = append(out, Note{Player: Bass, Midi: p.bass, At: st.at, Till: s.until(i, true), Accent: st.accent})
		}
		for _, v := range voices {
			if st.chords {
				out = append(out, Note{Player: Chords, Midi: v, At: st.at, Till: s.until(i, false), Accent: st.accent})
			}
		}
	}
	return out
}

// until is where the note of a stroke ends: a bass note where the next begins, a
// chord a beat later or, if that is sooner, where anything begins.
func (s segment) until(i int, bass bool) beat.Time {
	end, holds := s.to, s.strokes[i].holds
	if !bass && !holds {
		end = beat.Min(end, s.strokes[i].at.Plus(beat.Whole(1)))
	}
	for _, next := range s.strokes[i+1:] {
		if bass && next.bass || !bass && (next.chords || !holds) {
			return beat.Min(end, next.at)
		}
	}
	return end
}

// under is the class of the note the bass plays: the root or the note under the
// slash and, at odd strokes, the fifth.
func under(c chord.Chord, odd bool) int {
	if !odd || c.Bass != c.Root {
		return c.Bass
	}
	for _, fifth := range []int{7, 6, 8} {
		if slices.Contains(c.Tones, fifth) {
			return (c.Root + fifth) % 12
		}
	}
	return c.Root
}

// near is the note of a class that the bass reaches by the shortest way.
func near(from, class int) int {
	if from == 0 {
		from = middleBass
	}
	best := 0
	for note := lowestBass; note <= highestBass; note++ {
		if note%12 == class && (best == 0 || abs(note-from) < abs(best-from)) {
			best = note
		}
	}
	return best
}

func abs(x int) int { return max(x, -x) }

// count is how many voices the chords have.
const count = 3

// Lead puts a chord into three voices, from below: of all places within reach
// that which moves least from where the voices were, and among equals the one
// nearest the middle and closest together. Nil voices come from nowhere.
func Lead(voices []int, c chord.Chord) []int {
	var best []int
	least := 0
	for _, place := range places(classes(c)) {
		off := abs(place[0]+place[1]+place[2]-count*middle) + place[2] - place[0]
		if cost := far*Movement(voices, place) + off; best == nil || cost < least {
			best, least = place, cost
		}
	}
	return best
}

// far is more than any place lies off the middle.
const far = 100

// Movement is how many semitones three voices move from one place to another,
// all together.
func Movement(from, to []int) (sum int) {
	for i := range from {
		sum += abs(to[i] - from[i])
	}
	return sum
}

// places are all the ways to put a few classes within reach, from below, no two
// voices on one note: within an octave or, where a chord has too few notes for
// that, within two.
func places(classes []int) [][]int {
	if out := within(classes, lowest, highest, 12); len(out) > 0 {
		return out
	}
	return within(classes, lowest-9, highest+9, 24)
}

func within(classes []int, low, high, span int) (out [][]int) {
	for a := low; a <= high; a++ {
		for b := a + 1; b <= high; b++ {
			for c := b + 1; c <= min(high, a+span); c++ {
				if slices.Equal(classes, set(a, b, c)) {
					out = append(out, []int{a, b, c})
				}
			}
		}
	}
	return out
}

// set are the classes of notes, ascending, each once.
func set(notes ...int) []int {
	for i := range notes {
		notes[i] %= 12
	}
	slices.Sort(notes)
	return slices.Compact(notes)
}

// classes are up to three notes of a chord that tell most about it, the bass
// playing its own: the third, the seventh or sixth, a fifth that is not the
// usual one, what is stacked on top, then root and fifth.
func classes(c chord.Chord) []int {
	tones := slices.Clone(c.Tones)
	slices.SortStableFunc(tones, func(a, b int) int { return weight(c, a) - weight(c, b) })
	tones = tones[:min(count, len(tones))]
	for i := range tones {
		tones[i] += c.Root
	}
	return set(tones...)
}

// weight is how early a tone is chosen, less being earlier.
func weight(c chord.Chord, tone int) int {
	switch {
	case (c.Root+tone)%12 == c.Bass && tone != third(c):
		return 6
	case tone == third(c):
		return 0
	case tone >= 9:
		return 1
	case tone == 6 || tone == 8:
		return 2
	case tone == 7:
		return 5
	case tone == 0:
		return 4
	}
	return 3
}

// third is the tone that stands right over the root: the third, or what is there
// instead.
func third(c chord.Chord) int {
	if len(c.Tones) > 1 {
		return c.Tones[1]
	}
	return 0
}
