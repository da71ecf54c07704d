package unfold

import (
	"fmt"

	"reedlark/tab/diag"
)

// check reports the bars that do not add up.
func (b *barring) check() {
	firsts, lasts := map[int]bar{}, map[int]bar{}
	for _, n := range b.bars {
		if n.begins {
			firsts[n.segment] = n
		}
		if n.ends {
			lasts[n.segment] = n
		}
	}
	front := map[int]int{}
	for from, to := range b.back {
		front[to] = max(front[to], from)
	}
	for _, n := range b.bars {
		whole := n.beats == n.full || n.here == n.full
		if whole || n.skip || b.excused(n, firsts, lasts, front) {
			continue
		}
		b.Add(diag.Warning, diag.BarLength, n.span, "Check the holds, or move the bar line.",
			fmt.Sprintf("This bar has %s, but a bar of %s has %d.", beatsInWords(n.beats), n.metre, n.metre.Beats))
	}
}

// excused reports whether a short bar is a pick-up, or makes a whole one together
// with the bar at the other end of what it begins or ends.
func (b *barring) excused(n bar, firsts, lasts map[int]bar, front map[int]int) bool {
	if n.full.Less(n.beats) {
		return false
	}
	if n.begins && n.segment == b.opening {
		return true
	}
	makesOne := func(ends map[int]bar, segment int) bool {
		other, there := ends[segment]
		return there && n.beats.Plus(other.beats) == n.full
	}
	begins := n.begins && (makesOne(lasts, before(n.segment, lasts)) || makesOne(lasts, n.segment) || makesOne(lasts, front[n.segment]))
	ends := n.ends && (makesOne(firsts, after(n.segment, firsts)) || makesOne(firsts, n.segment) || makesOne(firsts, b.back[n.segment]) || makesOne(firsts, b.opening))
	return begins || ends
}

// nearby is how many empty segments may lie between two that are compared:
// signs side by side.
const nearby = 8

// before is the nearest segment before this one that has bars.
func before(segment int, bars map[int]bar) int {
	for k := segment - 1; k >= segment-nearby; k-- {
		if _, there := bars[k]; there {
			return k
		}
	}
	return -1
}

// after is the nearest segment after this one that has bars.
func after(segment int, bars map[int]bar) int {
	for k := segment + 1; k <= segment+nearby; k++ {
		if _, there := bars[k]; there {
			return k
		}
	}
	return -1
}
