package rhythm_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/rhythm"
)

// planned reads "at: beats beats+rest …", all fractions.
func planned(t *testing.T, s string) []rhythm.Length {
	head, rest, _ := strings.Cut(s, ":")
	at := fraction(t, head)
	var out []rhythm.Length
	for _, word := range strings.Fields(rest) {
		sounds, silent, _ := strings.Cut(word, "+")
		l := rhythm.Length{At: at, Beats: fraction(t, sounds)}
		if silent != "" {
			l.Rest = fraction(t, silent)
		}
		at = at.Plus(l.Beats).Plus(l.Rest)
		out = append(out, l)
	}
	return out
}

func fraction(t *testing.T, s string) beat.Time {
	n, d := 0, 1
	if _, err := fmt.Sscanf(s, "%d/%d", &n, &d); err != nil {
		_, err := fmt.Sscanf(s, "%d", &n)
		require.NoError(t, err, s)
	}
	return beat.Whole(n).Over(d)
}

func TestWrite(t *testing.T) {
	for name, c := range map[string]struct{ page, plan, want string }{
		"held":                   {"4 -4 5", "0: 1 2 1", "4 -4- 5"},
		"a beat shared":          {"4 -4 5", "0: 1/2 1/2 1", "{4 -4} 5"},
		"dotted":                 {"4 -4 5", "0: 3/2 1/2 1", "4 {- -4} 5"},
		"quarters":               {"4 -4 5 5", "0: 3/4 1/4 1 1", "{4-- -4} 5 5"},
		"thirds, one of two":     {"4 -4 5", "0: 2/3 1/3 1", "{4- -4} 5"},
		"syncopated":             {"4 -4 5", "0: 1/2 1 1/2", "{4 -4} {- 5}"},
		"a rest":                 {"4 -4 5", "0: 1 1+1 1", "4 -4 r 5"},
		"a rest of half a beat":  {"4 -4 5", "0: 1 1/2+1/2 1", "4 {-4 r} 5"},
		"a rest that is there":   {"4 -4 r 5", "0: 1 3 1", "4 -4- r 5"},
		"grace notes":            {"(4)5 (-4)6 6", "0: 1/2 1/2 2", "{(4)5 (-4)6} 6-"},
		"filler":                 {"(4 5) 6", "0: 1/2 1/2 1", "{(4 5)} 6"},
		"chords and glued notes": {"45-4 -45", "0: 2 1 1", "45- -4 -45"},
		"a slide":                {"4->6 5", "0: 2 1 1", "4- ->6 5"},
		"over a bar line":        {"Metre: 3/4\n4 | 5 6 | 7", "2: 1 2 2 1", "Metre: 3/4\n4 | 5- 6 | - 7"},
		"a repeat sign":          {"|: 4 5 :| 6", "0: 1 2 1", "|: 4 5- :| 6"},
		"letters":                {"B4 D4 4B", "0: 1/2 1/2 2", "{B4 D4} 4B-"},
		"the page's hold mark":   {"4. 5\n6 7", "0: 2 1 2 1", "4. 5\n6. 7"},
		"marks that were wrong":  {"4-- {5 6} 7", "0: 1 1 1 2", "4 5 6 7-"},
		"a pick-up of a half":    {"4 5 6", "7/2: 1/2 1 1", "{r 4} 5 6"},
		"line ends":              {"Harp: G\r\n4 5\r\nwords\r\n", "0: 1 2", "Harp: G\r\n4 5-\r\nwords\r\n"},
		"a beat in two rows":     {"Metre: 2/4\n4 5 6\none two three\n7 8", "0: 1 1/2 1/2 1 1", "Metre: 2/4\n4 {5 6}\none two three\n7 8"},
		"a beat cut by a row":    {"Metre: 2/4\n4 5\nlo there\n6 7", "0: 1 1/2 1/2 2", "Metre: 2/4\n4 5\ncount: 1 2\nlo there\n6 7\ncount: & 1"},
		"tied over to a row":     {"Metre: 4/4\n4 5\n6 7", "0: 1 3/2 1/2 1", "Metre: 4/4\n4 5\n{- 6} 7"},
		"a counted page":         {"Metre: 4/4\ntab:   4 5 6\ncount: 1 2 3", "0: 1 1/2 5/2", "Metre: 4/4\ntab:   4 5 6\ncount: 1 2 &"},
		"a mark behind each":     {"Metre: 2/4\n4+ 5- 6+ 4- 5+", "0: 1 1/2 1/2 1 1", "Metre: 2/4\n4+ {5- 6+} 4- 5+"},
		"dashes that draw":       {"Metre: 4/4\n4+ 5- 6+ 4- 5+", "0: 2 1 1 2 2", "Metre: 4/4\n4+- 5- 6+ 4-- 5+-"},
		"brackets that draw":     {"( ) = draw\n4 (4) 5 (5)", "0: 2 1/2 1/2 1", "( ) = draw\n4- {(4) 5} (5)"},
		"breaths in words":       {"Metre: 4/4\n4 blow 4 draw 5 blow 5 draw", "0: 2 1 1 4", "Metre: 4/4\n4 blow 4 draw 5 blow 5 draw\ncount: 1 3    4      1"},
		"no metre":               {"Title: T\n4 5\n6 7", "0: 1 1/2 1/2 2", "Title: T\nMetre: 4/4\n4 5\ncount: 1 2\n6 7\ncount: & 3"},
	} {
		t.Run(name, func(t *testing.T) {
			doc, page := read(c.page)
			plan := rhythm.Plan{Metre: doc.Metre, Notes: planned(t, c.plan)}
			if plan.Metre.Beats == 0 {
				plan.Metre = tab.Metre{Beats: 4, Unit: 4}
			}
			got, left := page.Write(plan, parse)
			assert.Empty(t, left)
			assert.Equal(t, c.want, got)
		})
	}
}

// Halves that are played late are written straight, and the page says so.
func TestSwing(t *testing.T) {
	_, page := read("Harp: C\n4 5 6")
	got, left := page.Write(rhythm.Plan{Notes: planned(t, "0: 1/2 1/2 1"), Swing: 2. / 3}, parse)
	assert.Empty(t, left)
	assert.Equal(t, "Harp: C\nSwing: 0.67\n{4 5} 6", got)
}

// Notes that are not in the plan stay as they are.
func TestOneRow(t *testing.T) {
	_, page := read("4-- 5\n6 7\n8 {9 9}")
	plan := rhythm.Plan{Notes: make([]rhythm.Length, len(page.Notes))}
	copy(plan.Notes[2:], planned(t, "0: 3 1"))
	got, left := page.Write(plan, parse)
	assert.Empty(t, left)
	assert.Equal(t, "4-- 5\n6-- 7\n8 {9 9}", got)
}
