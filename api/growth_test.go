//go:build unix

package api_test

import (
	"context"
	"errors"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// shape is a page that asks for as much work as it can, in units that are
// written many times over.
type shape struct {
	name string
	most int // units that an eighth of the largest page holds
	page func(n int) string
}

// playable are shapes that can be played.
var playable = []shape{
	{"quarters on a line", 600, func(n int) string { return fast + strings.Repeat("{4 5 6 -4} ", n) }},
	{"chords on a line", 330, func(n int) string { return fast + strings.Repeat("{12345 -12345 678 -789} ", n) }},
	{"slides on a line", 450, func(n int) string { return fast + strings.Repeat("{4 -> 7 > -3///} ", n) }},
	{"lines with words", 560, func(n int) string { return fast + strings.Repeat("{4 -4}\nri-ver\n", n) }},
	{"a line with words", 560, func(n int) string { return fast + strings.Repeat("{4 -4} ", n) + "\n" + strings.Repeat("ri-ver ", n) }},
	{"repeats on a line", 360, func(n int) string { return fast + strings.Repeat("|: {4 5} :| ", n) }},
	{"marks on a line", 240, func(n int) string { return fast + strings.Repeat("{-3/~ 45~} (6)7 {4- r} ", n) }},
	{"a counted line", 360, func(n int) string {
		return fast + "Metre: 2/4\ntab: " + strings.Repeat("4 -4 | ", n) + "\ncount: " + strings.Repeat("1 & | ", n)
	}},
	{"a line with chords over it", 300, func(n int) string {
		return fast + "Metre: 2/4\nchords: " + strings.Repeat("C G7 | ", n) + "\n" + strings.Repeat("4 -4 | ", n)
	}},
	{"arrows on a line", 540, func(n int) string { return fast + strings.Repeat("{↑4 ↓4}, ", n) }},
	{"headings and comments", 180, func(n int) string { return fast + strings.Repeat("[A] 4 (now) 5 x2\n# no\n\n", n) }},
	{"warnings on a line", 450, func(n int) string { return fast + strings.Repeat("{-1/// 4--5 4b} ", n) }},
}

// checkedOnly are shapes of what pages write around their notes, which are only
// checked.
var checkedOnly = []shape{
	{"endings", 400, repeated("|: 4 |1 5 :|2 6 | ")},
	{"jumps", 500, repeated("4 5 D.C.\nFine\n")},
	{"sections again", 600, func(n int) string { return "[A]\n4 5\n\n" + strings.Repeat("[A]\n\n", n) }},
	{"rows again", 800, repeated("4\n(x2)\n")},
	{"breath words", 500, repeated("4 blow, 4 draw ")},
	{"legends", 500, func(n int) string { return strings.Repeat("↓ means blow\n", n) + "4 5 6\n" }},
	{"legends that are none", 500, func(n int) string { return strings.Repeat("4 = x and 5\n", n) + "4 5 6\n" }},
	{"trailing signs", 1200, repeated("4+ 4- ")},
	{"brackets for draw", 1200, func(n int) string { return "( ) = draw\n" + strings.Repeat("4 (4) ", n) }},
	{"brackets that may be draw", 1200, repeated("4 (4) 5 ")},
	{"unknown marks", 1200, repeated("4^ 4v ")},
	{"breath rows", 400, repeated("Blow: 4 5\nDraw: 5 4\n")},
	{"rows of signs", 600, repeated("4 5 6\n+ - +\n")},
	{"syllables", 600, repeated("[6]Hap[6]py ")},
	{"quotation", 800, repeated("> 4 5\n")},
	{"bullets", 800, repeated("• 4 5\n")},
	{"numbered rows", 700, func(n int) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(strconv.Itoa(i+1) + ". 4 5\n")
		}
		return b.String()
	}},
	{"bare counts", 500, repeated("4 5 6 7\n1 2 3 4\n")},
	{"dashes apart", 1200, repeated("4 - 5 ")},
	{"metres", 400, repeated("Metre: 3/4\n4 5 6\n")},
	{"entities", 500, repeated("4&#8593; 4&darr; ")},
}

// unplayable are shapes that are only checked: the worst of mistakes.
var unplayable = []shape{
	{"open braces", 2400, repeated("{4 ")},
	{"open brackets", 2400, repeated("(4 ")},
	{"open repeats", 1500, repeated("|: 4 ")},
	{"closed repeats", 1500, repeated("4 :| ")},
	{"notes", 4000, repeated("4 ")},
	{"dashes", 8000, repeated("-")},
	{"lines of holds", 2400, repeated("- \n")},
	{"unknown words", 3900, func(n int) string { return "tab: " + strings.Repeat("Q ", n) }},
	{"lines of unknown words", 800, repeated("4 5 Q w\n")},
	{"lines of tab", 4000, repeated("4\n")},
	{"ampersands", 8000, repeated("&")},
	{"no UTF-8", 4000, repeated("\xff\xfe")},
	{"slides", 4000, repeated("4>")},
	{"bars", 2600, func(n int) string { return "Metre: 4/4\n" + strings.Repeat("4|", n) }},
	{"line repeats", 1100, repeated("4 x16\n")},
	{"closers", 2400, repeated("4) ")},
	{"numbers", 800, repeated("123456789 ")},
	{"a long number", 8000, repeated("4")},
	{"a long bend", 8000, func(n int) string { return "4" + strings.Repeat("/", n) }},
	{"headers", 600, repeated("Tempo: 100\n")},
	{"headers behind tab", 450, func(n int) string { return "4\n" + strings.Repeat("Tempo: 100\n", n) }},
	{"counts", 1900, func(n int) string {
		return "tab: " + strings.Repeat("4 ", n) + "\ncount: " + strings.Repeat("1 ", n)
	}},
}

const fast = "Tempo: 400\n"

func repeated(unit string) func(int) string {
	return func(n int) string { return strings.Repeat(unit, n) }
}

// makers make what can be made of a page.
var makers = map[string]func(context.Context, *api.Piece) error{
	"score": func(ctx context.Context, p *api.Piece) error {
		score, err := p.Score(ctx)
		return errors.Join(err, second(api.JSON(score)))
	},
	"midi":     func(ctx context.Context, p *api.Piece) error { return second(p.MIDI(ctx)) },
	"musicxml": func(ctx context.Context, p *api.Piece) error { return second(p.MusicXML(ctx, false)) },
	"picture":  func(ctx context.Context, p *api.Piece) error { return second(p.Picture(ctx)) },
	"card":     func(ctx context.Context, p *api.Piece) error { return second(p.Card(ctx)) },
	"tab":      func(ctx context.Context, p *api.Piece) error { return second(p.Rewritten(ctx)) },
}

func second[T any](_ T, err error) error { return err }

// BenchmarkGrowth measures how the processor time of whatever is made of a page
// grows with the page: at two, four and eight times the length, in times of what
// would be in proportion. It fails where that is over mostGrowth.
func BenchmarkGrowth(b *testing.B) {
	ctx := b.Context()
	for _, s := range playable {
		req := func(times int) api.Request { return asked(s, times) }
		growth(b, s.name+"/open", func(times int) func() {
			r := req(times)
			return func() { require.NoError(b, second(api.Open(ctx, r))) }
		})
		growth(b, s.name+"/open and plan", func(times int) func() {
			r := req(times)
			return func() {
				p, err := api.Open(ctx, r)
				require.NoError(b, errors.Join(err, p.Prepare(ctx)))
			}
		})
		growth(b, s.name+"/link", func(times int) func() {
			r := req(times)
			return func() { _, _ = r.Link() } // too long for one
		})
		for name, made := range makers {
			growth(b, s.name+"/"+name, func(times int) func() {
				p, err := api.Open(ctx, req(times))
				require.NoError(b, errors.Join(err, p.Prepare(ctx)))
				return func() { require.NoError(b, made(ctx, p)) }
			})
		}
	}
	growth(b, "rhythm of taps", func(times int) func() {
		q := taps(200 * times)
		return func() { require.NoError(b, second(api.NewDoor().Rhythm(ctx, q))) }
	})
	growth(b, "melody on the harps", func(times int) func() {
		s := api.NewSearch(api.FindLimit)
		require.NoError(b, s.Set("melody", strings.Repeat("C4:1 E4:1/2 Bb5:1/2 | ", 80*times)))
		return func() { require.NoError(b, second(api.Find(ctx, s))) }
	})
	for _, s := range slices.Concat(unplayable, checkedOnly) {
		growth(b, s.name+"/check", func(times int) func() {
			r := asked(s, times)
			return func() { _, _ = api.Open(ctx, r) }
		})
		growth(b, s.name+"/skip", func(times int) func() {
			r := asked(s, times)
			r.Unread = "skip"
			return func() { _, _ = api.Open(ctx, r) }
		})
	}
}

func asked(s shape, times int) api.Request {
	r := api.Defaults()
	r.Tab, r.Backing = s.page(s.most*times), "band"
	return r
}

// taps are those of a page of one line, in even beats.
func taps(notes int) api.RhythmRequest {
	q := api.RhythmRequest{Request: api.Defaults(), Whole: true}
	q.Tab, q.Tempo = strings.Repeat("4 -4 5 -5 ", notes/4), 120
	for i := range notes {
		q.Taps = append(q.Taps, api.Tap{Note: i, Pass: 1, At: float64(i) / 2})
	}
	return q
}

// mostGrowth is how far from proportion a cost may be; noise included.
const mostGrowth = 1.2

func growth(b *testing.B, name string, work func(times int) func()) {
	b.Run(name, func(b *testing.B) {
		worst := 0.0
		for b.Loop() {
			worst = measured(b, work)
			for again := 0; worst > mostGrowth && again < 3; again++ {
				worst = min(worst, measured(b, work)) // other programs disturb
			}
		}
		b.ReportMetric(worst, "growth")
		if worst > mostGrowth {
			b.Errorf("%.2f times what is in proportion", worst)
		}
	})
}

func measured(b *testing.B, work func(times int) func()) float64 {
	one, worst := processorTime(b, work(1)), 0.0
	for _, times := range []int{2, 4, 8} {
		worst = max(worst, processorTime(b, work(times))/one/float64(times))
	}
	return worst
}

// processorTime is the least time that some work takes, without the collection
// of garbage, in seconds.
func processorTime(b *testing.B, work func()) float64 {
	defer debug.SetGCPercent(debug.SetGCPercent(-1))
	least := 1e9
	for range 5 {
		runtime.GC()
		began, n := used(b), 0.0
		for ; n < 1 || used(b)-began < 2e-3; n++ {
			work()
		}
		least = min(least, (used(b)-began)/n)
	}
	return least
}

func used(b *testing.B) float64 {
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}
