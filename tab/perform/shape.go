package perform

import (
	"hash/fnv"
	"math"
	"slices"

	"reedlark/tab/beat"
	"reedlark/tab/score"
)

// phrasing is how the tune is to sound, by the settings and the page.
func (p *player) phrasing() score.Phrasing {
	if p.set.Phrasing == Plain {
		return score.Phrasing{}
	}
	seed := fnv.New64a()
	for _, line := range p.doc.Lines {
		_, _ = seed.Write([]byte(line.Text))
	}
	return score.Phrasing{Played: true, Direct: p.set.Bends == Direct, Seed: seed.Sum64()}
}

// shape gives every phrase an arch of levels and its last note an early, soft
// end. Nothing moves in time.
func shape(all *sounds, seed uint64) {
	middle := middlePitch(all.notes)
	for i := range all.notes {
		all.notes[i].Accent += float64(chanceDB * chance(seed, uint64(i)))
	}
	for first := 0; first < len(all.notes); {
		end := first + 1
		for end < len(all.notes) && !all.breaks(end) {
			end++
		}
		shapePhrase(all.notes[first:end], middle)
		first = end
	}
}

// restBreaks is the silence, seconds, from which a rest ends a phrase; a shorter one
// is a short note before it. by ear.
const restBreaks = 0.35

// breaks says that a phrase begins with a sound.
func (o *sounds) breaks(i int) bool {
	s, before := o.sound(i), o.sound(i-1)
	rest := s.Start - before.end()
	return rest >= restBreaks || s.fresh && rest < together
}

// How a phrase is shaped, dB and parts of its time.
// ref: N. Todd, "The dynamics of dynamics", JASA 91(6), 1992, for the arch; A.
// Friberg, R. Bresin & J. Sundberg, "Overview of the KTH rule system for musical
// performance", Advances in Cognitive Psychology 2, 2006, for short and high notes;
// by ear: the amounts.
const (
	archDB      = 4.1 // of the two loudest notes of a phrase over its first and its last
	deepestArch = 6.0
	archNotes   = 5   // notes of a phrase that has a whole arch
	archTop     = 0.6 // where the top is, unless its highest long note lies well
	earlyTop    = 1. / 3
	lateTop     = 4. / 5
	archMean    = 2. / 3 // of an arch: it is taken off, so that the mean effort stays
	shortDB     = -1.0   // notes shorter than a beat
	octaveDB    = 1.7    // higher notes, for each octave
	mostHighDB  = 2.5
	chanceDB    = 0.7 // evenly up or down, which is 0.4 dB in the mean square
)

// shapePhrase shapes one phrase. middle is the pitch that is no higher than usual.
func shapePhrase(notes []score.Note, middle float64) {
	span := notes[len(notes)-1].Start - notes[0].Start
	top := topOf(notes, span)
	arches := make([]float64, len(notes))
	for i := range notes {
		n := &notes[i]
		arches[i] = arch(n.Start-notes[0].Start, span, top) - archMean
		if n.Role == score.Melody && n.Beats.Less(beat.Whole(1)) {
			n.Accent += shortDB
		}
		octaves := (midi(n) - middle) / 12
		n.Accent += min(max(float64(octaveDB*octaves), -mostHighDB), mostHighDB)
	}
	depth := archDepth(notes, arches)
	for i := range notes {
		notes[i].Accent += float64(depth * arches[i])
	}
	if last := &notes[len(notes)-1]; !last.Fades {
		endSoftly(last)
	}
}

// archDepth is how deep an arch has to be, dB, so that the two loudest notes of a
// phrase lie archDB over its first and its last, whatever accents they have.
func archDepth(notes []score.Note, arches []float64) float64 {
	share := min(1, float64(melodyNotes(notes)-1)/(archNotes-1))
	low, high := 0.0, deepestArch*share
	for range 12 {
		depth := (low + high) / 2
		if prominence(notes, arches, depth) < archDB*share {
			low = depth
		} else {
			high = depth
		}
	}
	return high
}

// prominence is how far the two loudest notes lie over the first and the last, dB.
func prominence(notes []score.Note, arches []float64, depth float64) float64 {
	if len(notes) < 2 {
		return 0
	}
	ends, most, second := 0.0, math.Inf(-1), math.Inf(-1)
	for i := range notes {
		level := notes[i].Accent + float64(depth*arches[i])
		if i == 0 || i == len(notes)-1 {
			ends += level / 2
		}
		if level > most {
			most, second = level, most
		} else {
			second = max(second, level)
		}
	}
	return (most+second)/2 - ends
}

// arch is 1 at the top of a phrase and 0 at its ends.
func arch(t, span, top float64) float64 {
	if span <= 0 {
		return archMean
	}
	x := t/span - top
	if x < 0 {
		x /= top
	} else {
		x /= 1 - top
	}
	return 1 - float64(x*x)
}

// topOf is where a phrase is loudest, as a part of its time: its highest long note
// if that lies in the middle or after.
func topOf(notes []score.Note, span float64) float64 {
	long := usualLength(notes)
	high := -1
	for i := range notes {
		if notes[i].Role == score.Melody && notes[i].Seconds >= long && (high < 0 || midi(&notes[i]) > midi(&notes[high])) {
			high = i
		}
	}
	if high < 0 || span <= 0 {
		return archTop
	}
	if at := (notes[high].Start - notes[0].Start) / span; at >= earlyTop && at <= lateTop {
		return at
	}
	return archTop
}

// usualLength is the median of the notes' lengths, seconds.
func usualLength(notes []score.Note) float64 {
	var all []float64
	for i := range notes {
		if notes[i].Role == score.Melody {
			all = append(all, notes[i].Seconds)
		}
	}
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/2]
}

func melodyNotes(notes []score.Note) (n int) {
	for i := range notes {
		if notes[i].Role == score.Melody || notes[i].Role == score.Filler {
			n++
		}
	}
	return max(n, 1)
}

// midi is the pitch of a note's highest voice, which carries the tune.
func midi(n *score.Note) float64 {
	high := 0
	for _, v := range n.Voices {
		high = max(high, v.Midi)
	}
	return float64(high)
}

// middlePitch is the mean pitch of the notes.
func middlePitch(notes []score.Note) float64 {
	sum := 0.0
	for i := range notes {
		sum += midi(&notes[i])
	}
	return sum / float64(max(len(notes), 1))
}

// The last note of a phrase is silent early, seconds, and falls slowly. Both
// together take a quarter of it at most.
// ref: A. Friberg et al., 2006 (J. Sundberg's punctuation), for the kind; by ear: the
// amounts.
const (
	endGap     = 0.088
	endRelease = 0.075
	endFastest = 0.020
)

func endSoftly(n *score.Note) {
	room := float64(quarter * n.Seconds)
	n.Gap = max(n.Gap, min(endGap, room-endFastest))
	n.Release = min(endRelease, max(room-n.Gap, endFastest/2))
}

// chance is an even number from -1 to 1 made of a seed and a number.
// ref: the finalizer of SplitMix64, Steele, Lea & Flood, OOPSLA 2014.
func chance(seed, n uint64) float64 {
	z := seed + (n+1)*0x9E3779B97F4A7C15
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return float64(int64(z^z>>31)) / math.MaxInt64
}
