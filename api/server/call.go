package server

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/api/server/admit"
	"reedlark/api/server/httpx"
	"reedlark/tab/diag"
)

// tabCall is one call for something of a tab: what it asks for, the job it is, and
// what it was charged.
type tabCall struct {
	*service
	c       echo.Context
	ctx     context.Context // ends a moment after the caller has gone
	req     api.Request
	of      api.Product
	as      httpx.Representation
	job     *admit.Job
	account *admit.Account // nil where there are no quotas
	paid    float64        // units that every call is charged, not used up yet
	unspent float64        // units that were charged beyond that
	opened  bool           // it opened the piece itself, so that nobody has its sound yet
	endCtx  func()
}

// newCall begins a call, which has to end. Every call costs a voice-second, and more
// only if what is made for it does.
func (s *service) newCall(c echo.Context, req api.Request, of api.Product) (*tabCall, error) {
	req.Format = "" // that is settled elsewhere
	ctx, end := lingering(c.Request())
	t := &tabCall{
		service: s, c: c, ctx: ctx, endCtx: end, req: req, of: of,
		job: s.queue.NewJob(), account: s.quotas.Account(c.RealIP()),
	}
	c.Response().Header().Set("Engine-Version", api.EngineVersion())
	if err := t.charge(api.VoiceSecond); err != nil {
		t.end()
		return nil, err
	}
	t.paid, t.unspent = 1, 0
	return t, nil
}

// end ends a call.
func (t *tabCall) end() {
	t.release()
	t.endCtx()
}

// release gives up the call's place in the queue and refunds what it was charged and
// did not spend.
func (t *tabCall) release() {
	t.job.Leave()
	if t.account != nil {
		t.account.Refund(t.unspent)
	}
	t.unspent = 0
}

// units is a cost as quotas have it, in voice-seconds.
func units(cost time.Duration) float64 { return float64(cost) / float64(api.VoiceSecond) }

// expect tells the queue what the call will cost now and later, and charges its
// client for now. It fails where the queue is full or the quota used up.
func (t *tabCall) expect(now, later time.Duration) error {
	if err := t.job.Expect(now + later); err != nil {
		return err
	}
	return t.charge(now)
}

// charge charges the client and sets the RateLimit fields. It does not fail once
// some of the answer is sent. ref: draft-ietf-httpapi-ratelimit-headers-10.
func (t *tabCall) charge(cost time.Duration) error {
	if t.account == nil {
		return nil
	}
	more := units(cost)
	free := min(more, t.paid)
	t.paid -= free
	charged, err := t.account.Charge(more - free)
	t.unspent += charged
	left, full := t.account.State()
	if h := t.c.Response().Header(); !t.c.Response().Committed {
		q := t.cfg.Quota
		h.Set("RateLimit-Policy", fmt.Sprintf(`"client";q=%.0f;qu="voice-seconds";w=%.0f`, math.Floor(q.Burst), math.Ceil(q.Burst/q.Rate)))
		h.Set("RateLimit", fmt.Sprintf(`"client";r=%.0f;t=%.0f`, math.Floor(left), math.Ceil(full.Seconds())))
	}
	if err != nil && t.job.Committed() {
		return nil
	}
	return err
}

// spend says that some of what was charged is spent.
func (t *tabCall) spend(cost time.Duration) { t.unspent = max(0, t.unspent-units(cost)) }

// get is what the store has, or what is made now; the answer says which.
func (t *tabCall) get(ctx context.Context, k admit.Key, make admit.Maker) (admit.Item, error) {
	item, outcome, err := t.store.Get(ctx, k, make)
	for outcome == admit.Collapsed && t.notMine(err) {
		item, outcome, err = t.store.Get(ctx, k, make)
	}
	t.tellOutcome(outcome, err)
	return item, err
}

// tellOutcome sets Cache-Status. ref: RFC 9211.
func (t *tabCall) tellOutcome(o admit.Outcome, err error) {
	if err == nil && !t.c.Response().Committed {
		t.c.Response().Header().Set("Cache-Status", "reedlark; "+string(o))
	}
}

// notMine says whether the call that was making an item for all was refused for a
// reason that does not apply to this one: its own quota, or, where this one has sent
// some of its answer, any.
func (t *tabCall) notMine(err error) bool {
	var refused *admit.Refusal
	return errors.As(err, &refused) && (refused.Reason == admit.OverQuota || t.job.Committed())
}

// opened is a piece that is kept.
type opened struct{ *api.Piece }

func (o opened) Bytes() int { return o.Piece.Bytes() }

func (t *tabCall) pieceKey(part int64) admit.Key {
	return admit.Key{Kind: "piece", Tag: httpx.EntityTag(t.req.Canonical(), api.EngineVersion()), Part: part}
}

// piece opens the tab, or finds it in the store. It may not be prepared.
func (t *tabCall) piece() (*api.Piece, error) {
	item, err := t.get(t.ctx, t.pieceKey(0), t.open)
	if err != nil {
		return nil, err
	}
	return item.(opened).Piece, nil
}

// open reads the tab and performs it. What the call will cost after that is estimated
// from the text alone, so that a busy server refuses it before any work.
func (t *tabCall) open(ctx context.Context) (admit.Item, error) {
	cost := t.req.OpeningCost()
	if err := t.expect(cost, max(0, t.req.RoughCost(t.of)-cost)); err != nil {
		return nil, err
	}
	slot, err := t.job.Acquire(ctx, cost)
	if err != nil {
		return nil, err
	}
	defer slot.Release()
	piece, err := t.door.OpenWatched(slot.Context(ctx), t.req, t.stages(ctx))
	t.spend(cost)
	if err != nil {
		t.countRefused(err)
		return nil, err
	}
	t.opened = true
	return opened{piece}, nil
}

// prepare works out how loud the piece is, once for all calls that need it. later is
// what the call costs after that.
func (t *tabCall) prepare(piece *api.Piece, later time.Duration) error {
	for !piece.Prepared() {
		flight, leads := t.store.Join(t.ctx, t.pieceKey(1))
		if !leads {
			if _, err := flight.Wait(t.ctx); t.ctx.Err() != nil {
				return err
			}
			continue
		}
		defer flight.Land()
		err := t.prepareNow(flight.Context, piece, later)
		flight.Bring(nil, err, false)
		return err
	}
	return nil
}

func (t *tabCall) prepareNow(ctx context.Context, piece *api.Piece, later time.Duration) error {
	cost := piece.PreparingCost()
	if err := t.expect(cost, later); err != nil {
		return err
	}
	slot, err := t.job.Acquire(ctx, cost)
	if err != nil {
		return err
	}
	defer slot.Release()
	err = piece.PrepareWatched(slot.Context(ctx), func(frames int64) error {
		more := piece.ListeningCost(frames)
		cost += more
		return t.expect(more, later)
	})
	t.spend(cost)
	if err != nil {
		return err
	}
	all, err := piece.Diagnostics(ctx)
	t.count(all)
	return err
}

// stages tells the observer of each stage of opening.
func (t *tabCall) stages(ctx context.Context) func(string) func(error) {
	return func(name string) func(error) {
		_, end := t.cfg.Observer.Stage(ctx, name)
		return end
	}
}

// countRefused counts what is wrong with a tab.
func (t *tabCall) countRefused(err error) {
	var tab *api.TabError
	if errors.As(err, &tab) {
		t.count(tab.Diagnostics)
	}
}

func (t *tabCall) count(all []diag.Diagnostic) {
	for _, d := range all {
		t.cfg.Observer.Problem(string(d.Severity), string(d.Code))
	}
}

// file is an answer that is made whole.
type file struct {
	media, tag, name string
	body             httpx.Bytes
}

func (f *file) Bytes() int { return len(f.body) }

// file makes a file of the piece, or finds it in the store. Its bytes are part of its
// tag, since wording may change when no sound does.
func (t *tabCall) file(resource, media string, make func(context.Context, *api.Piece) ([]byte, error)) (*file, error) {
	k := admit.Key{Kind: "file", Tag: httpx.EntityTag(resource, t.req.Canonical(), media, api.EngineVersion())}
	item, err := t.get(t.ctx, k, func(ctx context.Context) (admit.Item, error) {
		piece, err := t.piece()
		if err != nil {
			return nil, err
		}
		body, err := t.make(ctx, piece, make)
		name := httpx.FileName(piece.Title(), unnamed, t.as.Ending)
		return &file{media, httpx.EntityTag(k.Tag, string(body)), name, body}, err
	})
	if err != nil {
		return nil, err
	}
	return item.(*file), nil
}

// unnamed is the name of a file whose page has no title.
const unnamed = "tune"

// make makes a file of a piece when it is the call's turn.
func (t *tabCall) make(ctx context.Context, piece *api.Piece, do func(context.Context, *api.Piece) ([]byte, error)) ([]byte, error) {
	cost := piece.Cost(t.of)
	if t.of == api.ScoreProduct {
		if err := t.prepare(piece, cost); err != nil {
			return nil, err
		}
	}
	var body []byte
	err := t.work(ctx, cost, func(ctx context.Context) (err error) {
		body, err = do(ctx, piece)
		return err
	})
	return body, err
}

// work does what costs about so much, when it is the call's turn. It goes on as long
// as ctx lasts, and lends its slot whenever do asks whether it does.
func (t *tabCall) work(ctx context.Context, cost time.Duration, do func(context.Context) error) error {
	if err := t.expect(cost, 0); err != nil {
		return err
	}
	slot, err := t.job.Acquire(ctx, cost)
	if err != nil {
		return err
	}
	defer slot.Release()
	defer t.spend(cost)
	return do(slot.Context(ctx))
}

// sendFile sends a file. Until it is sent the call holds its bytes and nothing else.
func (t *tabCall) sendFile(f *file, keep string) error {
	t.release()
	if err := t.memory.Reserve(len(f.body)); err != nil {
		return err
	}
	defer t.memory.Release(len(f.body))
	return t.send(t.c, httpx.Answer{
		Media: f.media, Tag: f.tag, File: f.name, CacheControl: keep,
		Open: func() (httpx.Content, error) { return f.body, nil },
	})
}
