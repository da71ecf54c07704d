package midi

import "math"

// The least and the most swing that is told from what is written, as the place of
// the half of a beat. ref: Swing: on a page goes to 0.75.
const (
	leastSwing = 0.54
	mostSwing  = 0.7
)

// fewestSwung is how many swung halves tell that a part swings.
const fewestSwung = 3

// swing is where the half of a beat falls in a part nearly all of whose notes lie
// on a beat or on one other place; 0 where it does not swing.
func (r *reader) swing(p *strand) float64 {
	place, count, others := 0.0, 0, 0
	for _, n := range p.notes {
		_, part := math.Modf(r.quarters(n.from).Float())
		switch {
		case part < near || part > 1-near:
		case part < leastSwing || part > mostSwing || count > 0 && math.Abs(part-place) > near:
			others++
		default:
			place = (place*float64(count) + part) / float64(count+1)
			count++
		}
	}
	if count < fewestSwung || others*fewestSwung > count {
		return 0
	}
	return math.Round(place*100) / 100
}

// straight is where a note would begin without swing.
func (r *reader) straight(tick int64, swing float64) int64 {
	if swing == 0 {
		return tick
	}
	quarter := float64(r.perQuarter)
	if r.over > 0 {
		quarter *= float64(r.over) / float64(r.quarter)
	}
	whole, part := math.Modf(float64(tick) / quarter)
	if math.Abs(part-swing) > near {
		return tick
	}
	return int64(math.Round((whole + 0.5) * quarter))
}
