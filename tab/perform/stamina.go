package perform

import (
	"math"

	"reedlark/tab/diag"
	"reedlark/tab/score"
)

// What a learner can do with some practice. A run on one breath is what sounds
// without a rest, a breath, a new line or a turn of the air; a leap is the way
// over holes that are not played, in the time from one note to the next.
// ref: common practice, no source: a soft note held for as long as a learner's
// breath lasts; a mouth that passes a hole in 25 to 60 ms when it slides.
const (
	longestBreath = 12.0  // seconds
	freeHoles     = 3     // a step over so many holes is no leap
	perHole       = 0.040 // seconds
)

// checkStamina notes once for each place what can be played but leaves no time:
// to breathe, or to find the hole.
func (p *player) checkStamina(all *sounds) {
	told := map[doubt]bool{}
	first := 0
	for i := range all.notes {
		s := all.sound(i)
		if i == 0 || !sameBreath(all.sound(i-1), s) {
			first = i
		}
		if i+1 == len(all.notes) || !sameBreath(s, all.sound(i+1)) {
			p.checkRun(told, all.sound(first), s)
		}
		if i > 0 {
			p.checkLeap(told, all.sound(i-1), s)
		}
	}
}

// doubt is what is told once: a kind of problem at a place.
type doubt struct {
	code diag.Code
	at   span
}

// sameBreath says that b goes on with the air of a.
func sameBreath(a, b sound) bool {
	return !b.fresh && b.Start-a.end() < together && a.Voices[0].Breath == b.Voices[0].Breath
}

// checkRun notes a run from one sound to another that outlasts a breath.
func (p *player) checkRun(told map[doubt]bool, from, to sound) {
	seconds := to.end() - from.Start
	d := doubt{diag.LongBreath, *from.at}
	if seconds <= longestBreath || told[d] {
		return
	}
	told[d] = true
	p.problems.Add(diag.Note, d.code, d.at,
		"mark where to breathe with a comma or a rest (r), or play it faster; stop when you are short of breath or dizzy",
		"From here on there are %d seconds of %s without a place to breathe.", int(math.Round(seconds)), airs[from.Voices[0].Breath])
}

var airs = map[score.Breath]string{score.Blow: "blowing", score.Draw: "drawing"}

// checkLeap notes a leap that the mouth has too little time for. A slide passes
// the holes between, so it is none; after a rest there is the time of the rest.
func (p *player) checkLeap(told map[doubt]bool, from, to sound) {
	holes := apartBy(from.Voices, to.Voices)
	d := doubt{diag.WideLeap, *to.at}
	again := to.StartBeat.Less(from.StartBeat) // another round
	if holes <= freeHoles || to.link != apart || to.Role == score.Slide || told[d] || again {
		return
	}
	have := to.Start - from.Start
	if have >= float64(float64(holes)*perHole) {
		return
	}
	told[d] = true
	p.problems.Add(diag.Note, d.code, d.at, "play it slower, or slide into it (->)",
		"This is %d holes from the note before, with %.2f seconds to get there, which few players manage.", holes, have)
}

// apartBy is how many holes a mouth moves at least from one note to another.
func apartBy(a, b []score.Voice) int {
	lowA, highA := reach(a)
	lowB, highB := reach(b)
	return max(lowB-highA, lowA-highB, 0)
}

func reach(voices []score.Voice) (low, high int) {
	low = math.MaxInt
	for _, v := range voices {
		low, high = min(low, v.Hole), max(high, v.Hole)
	}
	return low, high
}
