package server

import (
	"context"
	"errors"
	"time"

	"github.com/labstack/echo/v4"

	"reedlark/api"
	"reedlark/tab/diag"
)

// tabCall is one call for something of a tab.
type tabCall struct {
	*service
	c       echo.Context
	req     api.Request
	as      representation
	keep    string // Cache-Control of its success; empty for the usual
	sound   bool   // it is to be rendered
	visit   *visit
	charged bool
	first   bool // it opened the piece itself, so that nobody has its sound yet
	coded   coded
}

func (s *service) tabCall(c echo.Context, req api.Request) *tabCall {
	req.Format = "" // that is settled elsewhere
	return &tabCall{service: s, c: c, req: req, visit: s.gate.visit()}
}

// ctx is the context of what is made: it does not end with the call, since others
// may wait for the same, and half-closing a connection is no reason not to be
// answered. Whoever is gone is found out when he is written to.
func (t *tabCall) ctx() context.Context { return context.WithoutCancel(t.c.Request().Context()) }

// get looks into the store, and says in the answer how that went.
// ref: RFC 9211.
func (t *tabCall) get(ctx context.Context, k key, make func() (kept, error)) (kept, error) {
	v, how, err := t.store.get(ctx, k, make)
	for how == collapsed && t.notMine(err) {
		v, how, err = t.store.get(ctx, k, make)
	}
	if err == nil && !t.c.Response().Committed {
		t.c.Response().Header().Set("Cache-Status", "reedlark; "+how)
	}
	return v, err
}

// notMine says that whoever was to make something for all was refused for what is
// no reason to refuse this call: another's quota, or any, where it is half sent.
func (t *tabCall) notMine(err error) bool {
	var over *errQuota
	var busy *errBusy
	return errors.As(err, &over) || t.visit.must && errors.As(err, &busy)
}

// What is thought to take how long before more is known, on the machine of the
// figures in DEVELOPERS.md.
const (
	readByte   = 2 * time.Microsecond  // to read and perform a byte of tab
	pageByte   = 20 * time.Microsecond // and to make a page or a picture of it
	strictByte = 40 * time.Microsecond // to know how loud it is, too
	prepare    = 50 * time.Microsecond // to know how loud a voice is
	writeVoice = 10 * time.Microsecond // to write it into a score or a picture
	flacTimes  = 8                     // as long to code as to render
)

// opened is a piece that is kept.
type opened struct{ *api.Piece }

func (o opened) bytes() int { return o.Bytes() }

// piece opens the tab, or finds it open, and prepares it.
func (t *tabCall) piece(ctx context.Context) (*api.Piece, error) {
	piece, err := t.unprepared(ctx)
	if err == nil {
		err = t.prepare(ctx, piece)
	}
	return piece, err
}

// unprepared opens the tab, or finds it open. How loud it sounds may not be known.
func (t *tabCall) unprepared(ctx context.Context) (*api.Piece, error) {
	k := key{"piece", entityTag(t.req.Canonical(), api.EngineVersion()), 0}
	v, err := t.get(ctx, k, func() (kept, error) { return t.open(ctx) })
	if err != nil {
		return nil, err
	}
	return v.(opened).Piece, nil
}

// prepare works out how loud the piece is, where nobody did.
func (t *tabCall) prepare(ctx context.Context, piece *api.Piece) error {
	if piece.Prepared() {
		return nil
	}
	return t.visit.work(ctx, preparing(piece), func() error {
		if piece.Prepared() { // while this call waited
			return nil
		}
		all, err := piece.Diagnostics(ctx)
		if err == nil {
			t.count(all)
		}
		return err
	})
}

func preparing(piece *api.Piece) time.Duration { return time.Duration(piece.Voices()) * prepare }

// open reads the tab and performs it. Before it does, it is only guessed what the
// call will cost, by the length of the tab; but where there is too much to do
// already it must not even begin. What it will cost in fact is known before most
// of it is spent.
func (t *tabCall) open(ctx context.Context) (kept, error) {
	bytes := time.Duration(len(t.req.Tab))
	read := bytes * readByte
	if t.req.Strict {
		read = bytes * strictByte
	}
	if err := t.visit.expect(max(read, t.guess())); err != nil {
		return nil, err
	}
	var piece *api.Piece
	err := t.visit.work(ctx, read, func() (err error) {
		piece, err = t.door.OpenWatched(ctx, t.req, t.stages(ctx))
		return err
	})
	if err != nil {
		return nil, t.told(err)
	}
	t.first = true
	return opened{piece}, t.visit.expect(preparing(piece) + t.rest(piece))
}

// guess is what a call is thought to cost before its tab is read.
func (t *tabCall) guess() time.Duration {
	if t.sound {
		return t.gate.guess(len(t.req.Tab))
	}
	return time.Duration(len(t.req.Tab)) * pageByte
}

// rest is what is to be done with a piece once it is prepared.
func (t *tabCall) rest(piece *api.Piece) time.Duration {
	if !t.sound {
		return time.Duration(piece.Voices()) * writeVoice
	}
	about := t.gate.time(piece.Work())
	if t.as == asFLAC {
		about *= flacTimes
	}
	t.gate.remember(len(t.req.Tab), about)
	return about
}

// admit lets the call render so many voice-seconds, which take about so long; its
// client is charged for them once. What is begun is not refused any more.
func (t *tabCall) admit(work float64, about time.Duration) error {
	if !t.charged {
		t.charged = true
		if err := t.quotas.charge(t.c, work); err != nil && !t.visit.must {
			return err
		}
	}
	return t.visit.expect(about)
}

// stages tells the observer of each stage of opening.
func (t *tabCall) stages(ctx context.Context) func(string) func(error) {
	return func(name string) func(error) {
		_, end := t.cfg.Observer.Stage(ctx, name)
		return end
	}
}

// told tells the observer what is wrong with a tab.
func (t *tabCall) told(err error) error {
	var tab *api.TabError
	if errors.As(err, &tab) {
		t.count(tab.Diagnostics)
	}
	return err
}

func (t *tabCall) count(all []diag.Diagnostic) {
	for _, d := range all {
		t.cfg.Observer.Problem(string(d.Severity), string(d.Code))
	}
}

// file is an answer that is made whole.
type file struct {
	media, tag, name string
	body             text
}

func (f *file) bytes() int { return len(f.body) }

func (f *file) answer() answer {
	return answer{media: f.media, tag: f.tag, file: f.name, holds: len(f.body), open: func() (content, error) { return f.body, nil }}
}

// file makes an answer of the piece, or finds it made. Its bytes are part of its
// tag, since words may change where no sound does.
func (t *tabCall) file(ctx context.Context, resource, media string, make func(p *api.Piece) ([]byte, error)) (answer, error) {
	k := key{"file", entityTag(resource, t.req.Canonical(), media, api.EngineVersion()), 0}
	v, err := t.get(ctx, k, func() (kept, error) {
		piece, err := t.piece(ctx)
		if err != nil {
			return nil, err
		}
		f := &file{media: media, name: fileName(piece.Title(), t.as.ending)}
		err = t.visit.work(ctx, time.Duration(piece.Voices())*writeVoice, func() (err error) {
			f.body, err = make(piece)
			f.tag = entityTag(k.tag, string(f.body))
			return err
		})
		return f, err
	})
	if err != nil {
		return answer{}, err
	}
	return v.(*file).answer(), nil
}
