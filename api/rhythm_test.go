package api_test

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
)

// played is a page of testdata without its rhythm, and how it is played.
type played struct {
	name, bare string
	tempo      float64
	notes      []openapi.Note // in playing order, without grace notes and slides
	index      []int          // which of the page's notes each is
	passes     []int
}

// playedPages are the pages of testdata that can be played.
func playedPages(t *testing.T) (out []played) {
	names, err := filepath.Glob("../testdata/tabs/*.txt")
	require.NoError(t, err)
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		if score, err := scoreOf(string(text)); err == nil {
			p := played{name: filepath.Base(name), tempo: score.Tempo}
			p.read(score.Notes)
			even := p.tap(string(text), func(i int) float64 { return float64(i) })
			even.Tempo = 60 // a beat a note takes the rhythm out of the page
			answer, err := api.NewDoor().Rhythm(context.Background(), even)
			require.NoError(t, err, name)
			p.bare = answer.Tab
			out = append(out, p)
		}
	}
	require.Greater(t, len(out), 25)
	return out
}

func scoreOf(text string) (openapi.Score, error) {
	req := api.Defaults()
	req.Tab = text
	piece, err := api.Open(context.Background(), req)
	if err != nil {
		return openapi.Score{}, err
	}
	return piece.Score(context.Background())
}

// read numbers the notes of a score as they are written on the page.
func (p *played) read(notes []openapi.Note) {
	type place struct{ line, column int }
	var places []place
	passes := map[place]int{}
	for _, n := range notes {
		if n.Role == "melody" || n.Role == "filler" {
			at := place{n.Line, n.Column}
			if passes[at]++; passes[at] == 1 {
				places = append(places, at)
			}
			p.notes, p.passes = append(p.notes, n), append(p.passes, passes[at])
		}
	}
	slices.SortFunc(places, func(a, b place) int { return cmp.Or(a.line-b.line, a.column-b.column) })
	for _, n := range p.notes {
		p.index = append(p.index, slices.Index(places, place{n.Line, n.Column}))
	}
}

// tap is a request for the rhythm of a page.
func (p *played) tap(text string, at func(i int) float64) api.RhythmRequest {
	q := api.RhythmRequest{Request: api.Defaults(), Whole: true}
	q.Tab = text
	for i := range p.notes {
		q.Taps = append(q.Taps, api.Tap{Note: p.index[i], Pass: p.passes[i], At: at(i)})
	}
	return q
}

// hands tap a page with 20 ms of noise, a tempo that drifts by 3 % and a lag.
func (p *played) hands(seed uint64) func(i int) float64 {
	random := rand.New(rand.NewPCG(seed, uint64(len(p.notes))))
	phase, speed := 2*math.Pi*random.Float64(), 2*math.Pi/(16+16*random.Float64())
	before := 0.
	return func(i int) float64 {
		x := (p.notes[i].Start - p.notes[0].Start) * p.tempo / 60
		wave := .03 * math.Sqrt2 / speed * (math.Sin(speed*x+phase) - math.Sin(phase))
		before = max(60/p.tempo*(x+wave)+1.045+.02*random.NormFloat64(), before+.02)
		return before
	}
}

// right counts the gaps between notes that are right but for a factor.
func (p *played) right(notes []openapi.RhythmNote, factor float64) (n int) {
	for i := range notes[:len(notes)-1] {
		want := p.notes[i+1].StartBeat - p.notes[i].StartBeat
		if math.Abs(notes[i+1].StartBeat-notes[i].StartBeat-want*factor) < 1e-6 {
			n++
		}
	}
	return n
}

// The pages of testdata, stripped of their rhythm and tapped again, with their own
// tempo and with none.
func TestRhythmOfPages(t *testing.T) {
	door := api.NewDoor()
	pages := playedPages(t)
	for name, c := range map[string]struct {
		factors        []float64
		lengths, pages float64
	}{
		"tempo":   {[]float64{1}, .98, .90},
		"nothing": {[]float64{1, .5, 2, 1. / 3}, .97, .85},
	} {
		t.Run(name, func(t *testing.T) {
			var right, gaps, whole, count float64
			for _, p := range pages {
				for seed := range uint64(2) {
					q := p.tap(p.bare, p.hands(seed))
					q.Tempo = p.tempo
					if name == "nothing" {
						q.Tempo, q.Tab = 0, withoutTempo(p.bare)
					}
					answer, err := door.Rhythm(context.Background(), q)
					require.NoError(t, err, p.name)
					require.Len(t, answer.Notes, len(p.notes))
					assert.Equal(t, name == "nothing", answer.RunnerUp != nil, p.name)
					best := 0
					for _, factor := range c.factors {
						best = max(best, p.right(answer.Notes, factor))
					}
					of := len(p.notes) - 1
					right, gaps, count = right+float64(best), gaps+float64(of), count+1
					if best == of {
						whole++
					} else {
						t.Logf("%s %d: %d of %d\n%s", p.name, seed, best, of, answer.Tab)
					}
				}
			}
			t.Logf("%.4f of lengths, %.3f of %.0f pages", right/gaps, whole/count, count)
			assert.GreaterOrEqual(t, right/gaps, c.lengths, "lengths")
			assert.GreaterOrEqual(t, whole/count, c.pages, "pages")
		})
	}
}

// withoutTempo takes the tempo out of a page, and leaves its lines where they are.
func withoutTempo(text string) string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		if strings.HasPrefix(strings.ToLower(l), "tempo") {
			lines[i] = "#"
		}
	}
	return strings.Join(lines, "\n")
}
