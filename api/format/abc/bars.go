package abc

import (
	"strconv"
	"strings"

	"reedlark/tab/melody"
)

// bars reads a bar line with all that belongs to it: repeats and endings.
func (l *line) bars() {
	start := l.i
	for l.i < len(l.text) {
		c := l.at(0)
		if c == '|' || c == ':' || c == ']' && l.i > start && l.at(-1) == '|' || c == '.' && l.at(1) == '|' || c == '[' && (l.at(1) == '|' || l.at(1) == ']') {
			l.i++
			if c == '[' && l.at(0) == ']' {
				l.i++
			}
			continue
		}
		break
	}
	sign := l.text[start:l.i]
	endings := l.endings(sign)
	if l.i == start {
		l.i++
		return
	}
	if sign == ":" { // what else a lone colon may mean, it is no bar
		return
	}
	if l.main != nil {
		l.now, l.main = l.main, nil
	}
	v := l.v()
	v.sungBars = append(v.sungBars, len(v.sung))
	v.barLine(sign, endings, l.line())
}

// endings reads the numbers of an ending: |1, [2, [1,3, |1-3.
func (l *line) endings(sign string) (out []int) {
	save := l.i
	if l.at(0) == ' ' && strings.HasSuffix(sign, "|") {
		for l.at(0) == ' ' {
			l.i++
		}
		if l.at(0) != '[' {
			l.i = save
			return nil
		}
	}
	if l.at(0) == '[' {
		l.i++
	} else if !strings.HasSuffix(sign, "|") && !strings.HasSuffix(sign, "]") {
		return nil
	}
	for {
		first := l.number()
		if first == 0 {
			break
		}
		last := first
		if l.at(0) == '-' && l.at(1) >= '1' && l.at(1) <= '9' {
			l.i++
			last = l.number()
		}
		for n := first; n <= min(last, first+16); n++ {
			out = append(out, n)
		}
		if l.at(0) == '.' {
			l.i++
		}
		if l.at(0) != ',' || l.at(1) < '1' || l.at(1) > '9' {
			break
		}
		l.i++
	}
	if len(out) == 0 {
		l.i = save
	}
	return out
}

// barLine ends a bar and begins the next.
func (v *voice) barLine(sign string, endings []int, line int) {
	closes := strings.HasPrefix(strings.TrimLeft(sign, ".["), ":")
	opens := strings.HasSuffix(strings.TrimRight(sign, "]"), ":")
	double := strings.Contains(sign, "||") || strings.Contains(sign, "|]") || strings.Contains(sign, "[|")
	if opens && !strings.Contains(sign, "|") { // ::
		closes = true
	}
	fresh := v.bar().At == v.at
	if !fresh {
		v.newBar(line)
	}
	before := len(v.tune.Bars) - 2
	if before >= 0 {
		v.end(&v.tune.Bars[before], closes, opens, double, len(endings) > 0, sign)
	}
	b := v.bar()
	b.Open = b.Open || opens
	if len(endings) > 0 {
		b.Endings, v.ending = endings, true
	}
}

// end puts the signs of a bar line on the bar that it ends.
func (v *voice) end(b *melody.Bar, closes, opens, double, another bool, sign string) {
	if closes {
		b.Close = max(2, strings.Count(sign[:strings.IndexFunc(sign+"|", func(r rune) bool { return r != ':' && r != '.' && r != '[' })], ":")+1)
		if sign == "::" {
			b.Close = 2
		}
	}
	b.Double = b.Double || double && !closes
	if v.ending && (closes || opens || double || another) {
		b.Stop, v.ending = true, false
	}
}

// follow writes the parts of a tune in the order that P: gives in the header.
func (r *reader) follow(t *melody.Tune) {
	order := partOrder(r.parts)
	if len(order) == 0 {
		return
	}
	var starts []int
	for i := range t.Bars {
		if t.Bars[i].Section != "" {
			starts = append(starts, i)
		}
	}
	ranges := map[string][2]int{}
	for k, i := range starts {
		end := len(t.Bars)
		if k+1 < len(starts) {
			end = starts[k+1]
		}
		if _, known := ranges[t.Bars[i].Section]; !known {
			ranges[t.Bars[i].Section] = [2]int{i, end}
		}
	}
	if len(ranges) == 0 {
		return
	}
	var bars []int
	for _, name := range order {
		part, known := ranges[name]
		if !known {
			t.Remarks = append(t.Remarks, "P: names a part "+strconv.Quote(name)+", which the tune does not have")
			continue
		}
		for i := part[0]; i < part[1] && len(bars) < mostBars; i++ {
			bars = append(bars, i)
		}
	}
	t.Rearrange(bars)
}

// partOrder reads the order of parts: AAB, A2B3, (AB)2, with dots between.
func partOrder(text string) (out []string) {
	p := &parts{text: strings.NewReplacer(".", "", " ", "").Replace(text)}
	return p.group(0)
}

type parts struct {
	text string
	i    int
}

// group reads up to a closing bracket or the end.
func (p *parts) group(depth int) (out []string) {
	for p.i < len(p.text) && len(out) < mostParts && depth < 10 {
		c := p.text[p.i]
		p.i++
		var one []string
		switch {
		case c == ')':
			return out
		case c == '(':
			one = p.group(depth + 1)
		case isLetter(c):
			one = []string{string(c)}
		default:
			continue
		}
		for range max(1, p.times()) {
			if len(out)+len(one) <= mostParts {
				out = append(out, one...)
			}
		}
	}
	return out
}

// mostParts is the most parts an order has.
const mostParts = 200

func (p *parts) times() (n int) {
	for ; p.i < len(p.text) && p.text[p.i] >= '0' && p.text[p.i] <= '9'; p.i++ {
		n = min(10*n+int(p.text[p.i]-'0'), mostParts)
	}
	return n
}
