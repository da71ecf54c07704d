package api

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"reedlark/openapi"
	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/quantise"
	"reedlark/tab/rhythm"
)

// Rhythm writes the rhythm that was tapped into a page. The error is a *CallError
// where a tap cannot be used, a *TabError where the page cannot be played, and
// that of ctx where ctx ended first.
func (d *Door) Rhythm(ctx context.Context, q RhythmRequest) (openapi.Rhythm, error) {
	if err := q.check(); err != nil {
		return openapi.Rhythm{}, err
	}
	req := q.Request
	req.From, req.To, req.Repeat, req.CountIn, req.Strict = Edge{}, Edge{}, 1, 0, false
	piece, err := d.Open(ctx, req)
	if err != nil {
		return openapi.Rhythm{}, err
	}
	w := &tapped{door: d, req: req, doc: piece.doc, page: rhythm.Read(piece.doc, req.Tab), taps: q.Taps}
	if w.plays, err = q.matched(w.page); err != nil {
		return openapi.Rhythm{}, err
	}
	if w.heard, err = quantise.Quantise(w.times(q.Clicks)); err != nil {
		return openapi.Rhythm{}, err // what it refuses was refused before
	}
	w.free = w.heard.RunnerUp != nil
	return w.answer(ctx)
}

// Cost is about what it costs to answer the request: the page is read a few times, and
// every tap looked at in some readings, in more where nobody says how long a beat is.
// ref: BenchmarkQuantise.
func (q *RhythmRequest) Cost() time.Duration {
	const reads, perTap, perFreeTap = 8, 500, 1200
	each := us(perTap)
	if q.Tempo == 0 && len(q.Clicks) < 2 {
		each = us(perFreeTap)
	}
	return reads*q.OpeningCost() + time.Duration(len(q.Taps))*each
}

// tapped is a page on its way to its rhythm.
type tapped struct {
	door  *Door
	req   Request
	doc   *tab.Document
	page  *rhythm.Page
	taps  []Tap
	plays []rhythm.Play // of each tap
	heard quantise.Rhythm
	free  bool // nobody said how fast a beat is
}

// tempo is how fast the page is to be, as it or the request says; 0 for neither.
func (w *tapped) tempo() float64 { return cmp.Or(w.req.Tempo, w.doc.Head.Tempo) }

// times is what is known of the taps.
func (w *tapped) times(clicks []float64) quantise.Taps {
	in := quantise.Taps{
		Clicks: clicks, Tempo: w.tempo(), Swing: cmp.Or(w.req.Swing, w.doc.Head.Swing),
		Metre: quantise.Metre(w.doc.Metre), Bars: w.page.Bars(w.plays),
	}
	for _, t := range w.taps {
		in.Onsets, in.Ends = append(in.Onsets, t.At), append(in.Ends, t.Until)
	}
	return in
}

// plan is the rhythm of the page.
func (w *tapped) plan(r *quantise.Rhythm) rhythm.Plan {
	plan := rhythm.Plan{Metre: tab.Metre(r.Metre), Swing: r.Swing, Notes: make([]rhythm.Length, len(w.page.Notes))}
	begin := r.Pickup.Neg().Mod(beat.Whole(r.Metre.Beats))
	for note, tap := range w.chosen(r) {
		n := r.Notes[tap]
		plan.Notes[note] = rhythm.Length{At: begin.Plus(n.Start), Beats: n.Beats, Rest: n.Rest}
	}
	return plan
}

// atLevel is a rhythm with every beat so many times as long, and as many times as fast.
// The last note fills its beat.
func atLevel(r *quantise.Rhythm, factor beat.Time) *quantise.Rhythm {
	by := func(b beat.Time) beat.Time { return b.Times(int(factor.Num())).Over(int(factor.Denom())) }
	out := *r
	out.Tempo *= factor.Float()
	out.Pickup = by(r.Pickup)
	out.Notes = slices.Clone(r.Notes)
	for i := range out.Notes {
		n := &out.Notes[i]
		n.Start, n.Beats, n.Rest = by(n.Start), by(n.Beats), by(n.Rest)
	}
	last := &out.Notes[len(out.Notes)-1]
	end := last.Start.Plus(last.Beats).Minus(out.Pickup)
	last.Beats = last.Beats.Plus(beat.Whole(end.Ceil()).Minus(end))
	return &out
}

// chosen is the tap of each note whose rhythm is written: of a row that was tapped
// in several passes the surest.
func (w *tapped) chosen(r *quantise.Rhythm) map[int]int {
	type pass struct{ line, pass int }
	sure, best := map[pass]float64{}, map[int]int{}
	for i, p := range w.plays {
		row := pass{w.page.Notes[p.Note].Line, p.Pass}
		sure[row] += math.Log(max(r.Notes[i].Confidence, 1e-9))
		best[row.line] = max(best[row.line], 1)
	}
	for row, s := range sure {
		now := pass{row.line, best[row.line]}
		if s > sure[now] || s == sure[now] && row.pass < now.pass {
			best[row.line] = row.pass
		}
	}
	out := map[int]int{}
	for i, p := range w.plays {
		if p.Pass == best[w.page.Notes[p.Note].Line] {
			out[p.Note] = i
		}
	}
	return out
}

// write is the page with a rhythm, and the lines it could not be written into.
func (w *tapped) write(r *quantise.Rhythm) (string, []int) {
	options := w.req.options(w.door.limits)
	return w.page.Write(w.plan(r), func(text string) *tab.Document { return tab.Parse(text, options) })
}

// settle writes the page. Where nobody said how long a beat is and lines are left, since
// their bar lines and ends cut beats, shorter beats are better ones.
func (w *tapped) settle() (text string, left []int) {
	text, left = w.write(&w.heard)
	if !w.free {
		return text, left
	}
	for _, factor := range []int{2, 3} {
		faster := atLevel(&w.heard, beat.Whole(factor))
		if len(left) == 0 || faster.Tempo > beat.MaxTempo {
			break
		}
		if other, fewer := w.write(faster); len(fewer) < len(left) {
			w.heard, text, left = *faster, other, fewer
			break
		}
	}
	return text, left
}

// answer writes the page, plays it and says what was understood.
func (w *tapped) answer(ctx context.Context) (openapi.Rhythm, error) {
	text, left := w.settle()
	req := w.req
	req.Tab = text
	piece, err := w.door.Open(ctx, req)
	if err != nil {
		return openapi.Rhythm{}, err
	}
	w.remark(piece, left)
	out := openapi.Rhythm{
		Tab: text, Tempo: hundredths(w.heard.Tempo), Metre: tab.Metre(w.heard.Metre).String(), Swing: rounded(w.heard.Swing),
		Pickup: beats(w.heard.Pickup), Confidence: hundredths(w.heard.Confidence), Notes: w.notes(piece),
	}
	if other := w.heard.RunnerUp; other != nil {
		page, _ := w.write(other)
		out.RunnerUp = &openapi.RunnerUp{Tempo: hundredths(other.Tempo), Metre: tab.Metre(other.Metre).String(), Tab: page}
	}
	out.Diagnostics, err = piece.Diagnostics(ctx)
	return out, err
}

// notes is what became of each tap, in the page returned.
func (w *tapped) notes(piece *Piece) []openapi.RhythmNote {
	page := rhythm.Read(piece.doc, piece.req.Tab)
	events := piece.doc.Unfold().Events
	at := map[rhythm.Play]int{}
	for _, p := range page.Plays {
		at[rhythm.Play{Note: p.Note, Pass: p.Pass}] = p.Event
	}
	out := make([]openapi.RhythmNote, len(w.plays))
	for i, p := range w.plays {
		e := events[at[rhythm.Play{Note: p.Note, Pass: p.Pass}]]
		line, column := piece.doc.Source.Position(e.Span.Start)
		out[i] = openapi.RhythmNote{
			Note: p.Note, Pass: p.Pass, Line: line, Column: column,
			StartBeat: beats(e.Start), Beats: beats(e.Beats), Confidence: hundredths(w.heard.Notes[i].Confidence),
		}
	}
	return out
}

// hundredths drops what nobody can hear of a tempo, and what machines may differ in.
func hundredths(x float64) float64 { return math.Round(x*100) / 100 }
