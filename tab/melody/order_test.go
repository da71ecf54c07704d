package melody_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/tab/beat"
	"reedlark/tab/melody"
)

// bars makes a tune of one bar for each word. A word is a name and the signs
// of its bar: | opens a repeat, :n closes one played n times, 1 and 2 begin
// endings, ; stops one, $ and o are the segno and the coda, > is "to coda", F fine.
func bars(form string) *melody.Tune {
	t := &melody.Tune{}
	for i, w := range strings.Fields(form) {
		b := melody.Bar{At: beat.Whole(4 * i), Metre: melody.Metre{Beats: 4, Unit: 4}, Section: w[:1]}
		signs := w[1:]
		b.Open, b.Stop = strings.Contains(signs, "|"), strings.Contains(signs, ";")
		b.Segno, b.Coda, b.ToCoda, b.Fine = strings.Contains(signs, "$"), strings.Contains(signs, "o"), strings.Contains(signs, ">"), strings.Contains(signs, "F")
		for _, pass := range []int{1, 2, 3} {
			if strings.Contains(signs, fmt.Sprint("e", pass)) {
				b.Endings = append(b.Endings, pass)
			}
			if strings.Contains(signs, fmt.Sprint(":", pass)) {
				b.Close = pass
			}
		}
		for sign, jump := range map[string]melody.Jump{
			"!c": {From: melody.DaCapo}, "!f": {From: melody.DaCapo, Until: melody.AlFine}, "!k": {From: melody.DalSegno, Until: melody.AlCoda},
		} {
			if strings.Contains(signs, sign) {
				b.Jump = jump
			}
		}
		t.Bars = append(t.Bars, b)
		t.Length = beat.Whole(4 * (i + 1))
	}
	return t
}

// How players follow the signs (common practice, no source).
func TestOrder(t *testing.T) {
	for form, want := range map[string]string{
		"a b c":                       "abc",
		"a| b:2 c":                    "ababc",
		"a b:2 c d:2":                 "ababcdcd",
		"a| b:3 c":                    "abababc",
		"a| be1:2 ce2; d":             "abacd",
		"a| be1 c:2 de2 e; f":         "abcadef",
		"a| be1e2:3 ce3; d":           "ababacd",
		"a| be1:2 ce2; d| ee1:2 fe2;": "abacdedf",
		"a b:2 cF d!f":                "ababcdabc",
		"a| be1:2 ce2; dF e!f":        "abacdeacd",
		"a b$ c> d!k eo f":            "abcdbcef",
		"a b c!c":                     "abcabc",
		"a b!k c":                     "abc", // there is no segno
		"a| b: c":                     "abc",
	} {
		tune := bars(form)
		order, ok := tune.Order()
		var got string
		for _, i := range order {
			got += tune.Bars[i].Section
		}
		assert.True(t, ok)
		assert.Equal(t, want, got, form)
	}
}

func TestNumberBars(t *testing.T) {
	tune := bars("a b c:2 d e")
	for i, at := range []int{0, 1, 5, 8, 9} { // 1, 4, 3, 1 and 4 beats
		tune.Bars[i].At = beat.Whole(at)
	}
	tune.Length = beat.Whole(13)
	tune.NumberBars()
	var got []string
	for _, b := range tune.Bars {
		got = append(got, b.Number)
	}
	assert.Equal(t, []string{"0", "1", "2", "2", "3"}, got)
}

// However signs nest, the order ends.
func FuzzOrder(f *testing.F) {
	f.Add("a| be1:2 ce2; dF e!f")
	f.Add("a|$:3 be1e2 c!k d>o")
	f.Fuzz(func(t *testing.T, form string) {
		if len(form) > 200 {
			return
		}
		order, _ := bars(form).Order()
		assert.LessOrEqual(t, len(order), melody.MostBars)
	})
}
