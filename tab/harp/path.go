package harp

import (
	"fmt"
	"math"
	"slices"
)

// finder looks for the ways of one melody.
type finder struct {
	melody []Sound
	wish   Wish
	sounds []Sound // the distinct ones
	index  []int32 // of each sound of the melody among them
	counts []int   // how often each of them sounds
}

func newFinder(melody []Sound, wish Wish) *finder {
	f := &finder{melody: melody, wish: wish, index: make([]int32, len(melody))}
	known := map[string]int32{}
	for i, s := range melody {
		key := fmt.Sprint(s.Midi)
		n, found := known[key]
		if !found {
			n = int32(len(f.sounds))
			known[key] = n
			f.sounds, f.counts = append(f.sounds, s), append(f.counts, 0)
		}
		f.index[i] = n
		f.counts[n]++
	}
	return f
}

// octaves lists the octaves to be tried, the written one first.
func (f *finder) octaves() []int {
	if f.wish.Octave != nil {
		return []int{*f.wish.Octave}
	}
	all := []int{0}
	for n := 1; n <= farthest; n++ {
		all = append(all, n, -n)
	}
	return all
}

// near is by how much more than the least an octave may cost before its moves
// are known and still be looked at: moves cost less.
const near = 5

// best is the easiest way on a harp. What notes alone cost in each octave is
// known without a path, so only the octaves that can win are followed.
func (f *finder) best(h Harp) Way {
	octaves := f.octaves()
	choices, bounds := make([][][]Touch, len(octaves)), make([]float64, len(octaves))
	for i, octave := range octaves {
		choices[i] = f.choices(h, octave)
		bounds[i] = costOctave * math.Abs(float64(octave))
		for n, touches := range choices[i] {
			bounds[i] += float64(f.counts[n]) * least(touches)
		}
	}
	best, limit := Way{Cost: math.Inf(1)}, slices.Min(bounds)+near
	for i, octave := range octaves {
		if bounds[i] > limit {
			continue
		}
		if w := f.judge(h, octave, f.path(choices[i])); w.Cost < best.Cost {
			best = w
		}
	}
	return best
}

func least(touches []Touch) float64 {
	least := math.Inf(1)
	for i := range touches {
		least = min(least, touches[i].cost())
	}
	return least
}

// choices are the ways a harp can play each of the distinct sounds.
func (f *finder) choices(h Harp, octave int) [][]Touch {
	out := make([][]Touch, len(f.sounds))
	for i, s := range f.sounds {
		out[i] = f.touches(h, s, 12*octave)
	}
	return out
}

// touches are the ways a harp can play a sound; one with no places where it
// cannot.
func (f *finder) touches(h Harp, s Sound, moved int) (out []Touch) {
	if len(s.Midi) > 1 {
		if out = h.together(s.Midi, moved); len(out) > 0 {
			return out
		}
	}
	for _, p := range h.Find(s.Midi[len(s.Midi)-1] + moved) {
		if f.wish.allows(p) {
			out = append(out, Touch{Places: []Place{p}, Cut: len(s.Midi) > 1})
		}
	}
	if len(out) == 0 {
		return []Touch{{}}
	}
	return out
}

// widest is how many holes lie under a mouth, blocked ones included. Common
// practice, no source.
const widest = 5

// together are the ways to sound notes on one breath, all of them plain.
func (h Harp) together(midi []int, moved int) (out []Touch) {
	for _, breath := range []Breath{Blow, Draw} {
		var places []Place
		for _, m := range midi {
			for _, p := range h.Find(m + moved) {
				taken := len(places) > 0 && places[len(places)-1].Hole >= p.Hole
				if p.Technique == Plain && p.Breath == breath && !taken {
					places = append(places, p)
					break
				}
			}
		}
		if len(places) == len(midi) && places[len(places)-1].Hole-places[0].Hole < widest {
			out = append(out, Touch{Places: places})
		}
	}
	return out
}

// path is the easiest path through the touches of all sounds. It is the
// shortest path of dynamic programming: the best way to a touch goes by the best
// way to some touch before.
func (f *finder) path(choices [][]Touch) []Touch {
	stride := 1
	for _, touches := range choices {
		stride = max(stride, len(touches))
	}
	from := make([]uint8, len(f.melody)*stride)
	efforts, before := make([]float64, 0, stride), make([]float64, 0, stride)
	for i, n := range f.index {
		efforts, before = before[:0], efforts
		for k := range choices[n] {
			t := &choices[n][k]
			effort, source := 0.0, 0
			if i > 0 {
				effort, source = arrive(t, choices[f.index[i-1]], before, f.melody[i].Phrase)
			}
			from[i*stride+k] = uint8(source)
			efforts = append(efforts, effort+t.cost())
		}
	}
	return f.back(choices, from, stride, efforts)
}

// arrive picks the touch before from which the way to a touch is the easiest.
func arrive(t *Touch, touches []Touch, efforts []float64, phrase bool) (least float64, source int) {
	least = math.Inf(1)
	for i := range touches {
		if e := efforts[i] + t.moveFrom(&touches[i], phrase); e < least {
			least, source = e, i
		}
	}
	return least, source
}

// back goes from the best last touch to the first.
func (f *finder) back(choices [][]Touch, from []uint8, stride int, efforts []float64) []Touch {
	path := make([]Touch, len(f.melody))
	if len(path) == 0 {
		return path
	}
	at := slices.Index(efforts, slices.Min(efforts))
	for i := len(path) - 1; i >= 0; i-- {
		path[i] = choices[f.index[i]][at]
		at = int(from[i*stride+at])
	}
	return path
}
