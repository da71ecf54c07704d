package api

import (
	"context"
	"slices"
	"sync"
	"sync/atomic"

	"reedlark/openapi"
	"reedlark/synth"
	"reedlark/synth/reed"
	"reedlark/tab"
	"reedlark/tab/band"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/perform"
	"reedlark/tab/score"
)

// Door opens tabs. Sounds made through one door share their tables of reeds. A
// door is safe for concurrent use.
type Door struct {
	tables *reed.Cache
	limits Limits
}

// NewDoor makes a door with the usual limits.
func NewDoor() *Door { return NewDoorWithin(Limits{}) }

// NewDoorWithin makes a door whose limits are lower than usual.
func NewDoorWithin(l Limits) *Door {
	return &Door{reed.NewCache(reed.DefaultCacheBytes), l.lowered()}
}

// Open opens one tab through a door of its own.
func Open(ctx context.Context, r Request) (*Piece, error) { return NewDoor().Open(ctx, r) }

// Piece is a tab that was read and can be played. It is safe for concurrent use.
type Piece struct {
	req      Request
	door     *Door
	doc      *tab.Document
	score    *score.Score
	reported diag.List // of the page, the performance and the sound
	partial  bool      // something that cannot be read was passed over
	prepared atomic.Bool
	mu       sync.Mutex   // held while the sound is prepared, which fills the rest:
	sound    *synth.Sound // nil where that failed
	failed   error
}

// Open reads a tab and performs it; nothing is rendered. The error is a *TabError
// with every diagnostic where the tab cannot be played or, for a strict request,
// has warnings (the piece has a [Reading] and no sound then); a *CallError where
// the tab is larger than the door allows; that of ctx where ctx ended first.
func (d *Door) Open(ctx context.Context, r Request) (*Piece, error) {
	return d.OpenWatched(ctx, r, func(string) func(error) { return func(error) {} })
}

// OpenWatched opens a tab and reports its stages, parse and perform: stage is
// called when one begins, and the function it returns when that stage ends.
func (d *Door) OpenWatched(ctx context.Context, r Request, stage func(name string) func(error)) (*Piece, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := d.limits.fits(r.Tab); err != nil {
		return nil, err
	}
	settings, err := r.settings(d.limits)
	if err != nil {
		return nil, err
	}
	end := stage("parse")
	p := &Piece{req: r, door: d, doc: tab.Parse(r.Tab, r.options(d.limits))}
	end(nil)
	end = stage("perform")
	err = p.play(ctx, settings)
	end(err)
	return p, err
}

// play performs the page, or says what keeps it from being performed.
func (p *Piece) play(ctx context.Context, settings perform.Settings) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	var more diag.List
	if refuses := p.doc.Problems.Has(diag.Error); refuses && !p.skips() {
		more = perform.Judge(p.doc, settings)
	} else {
		p.partial = refuses
		p.score, more = perform.Perform(p.doc, settings)
	}
	p.reported = slices.Concat(p.doc.Problems, more)
	p.aboutGaps()
	if p.partial && !more.Has(diag.Error) {
		return nil
	}
	return p.verdict(ctx)
}

// unreadSkip plays what can be read.
const unreadSkip = "skip"

// skips reports whether what cannot be read on the page is passed over: where the
// request asks for it, every error allows it, and a note is left.
func (p *Piece) skips() bool {
	if p.req.Unread != unreadSkip || p.req.Strict {
		return false
	}
	for _, problem := range p.doc.Problems {
		if problem.Severity == diag.Error && !problem.Code.Skippable() {
			return false
		}
	}
	return slices.ContainsFunc(p.doc.Unfold().Events, func(e tab.Event) bool { return e.Note != nil })
}

// verdict refuses the tab where something reported does.
func (p *Piece) verdict(ctx context.Context) error {
	if p.reported.Has(diag.Error) {
		return p.refusal()
	}
	if !p.req.Strict {
		return nil
	}
	if err := p.Prepare(ctx); err != nil { // its level may be worth a warning
		return err
	}
	if p.reported.Has(diag.Warning) {
		return p.refusal()
	}
	return nil
}

func (p *Piece) refusal() error {
	e := &TabError{Diagnostics: p.diagnostics(), Dialect: dialect(p.doc.Dialect), Strict: p.req.Strict}
	e.Parameter, e.Allowed = p.atFault()
	for _, r := range p.reported {
		if r.Severity == diag.Error || e.Strict && r.Severity == diag.Warning {
			e.refusing++
		}
	}
	return e
}

// atFault is the parameter without which the tab would play, and what it may be;
// "" where the page itself is refused.
func (p *Piece) atFault() (name, allowed string) {
	for _, r := range p.reported {
		if r.Severity != diag.Error {
			continue
		}
		switch code := r.Code; {
		case code == diag.RangeEmpty && p.req.To != (Edge{}):
			name, allowed = "to", ParameterNamed("to").Allowed+", after from and in the piece"
		case code == diag.RangeEmpty:
			name, allowed = "from", ParameterNamed("from").Allowed+", in the piece"
		case code == diag.SoundTooLong || code == diag.TooManyPlayed:
			return p.tooMuch()
		default:
			return "", ""
		}
	}
	return name, allowed
}

// tooMuch is the parameter that takes a piece over a limit. Parameters that make
// it longer are dropped one after the other until it plays.
func (p *Piece) tooMuch() (name, allowed string) {
	without := p.req
	for _, longer := range []struct {
		name, allowed string
		leave         func()
	}{
		{"repeat", "fewer rounds, " + ParameterNamed("repeat").Range(), func() { without.Repeat = 1 }},
		{"count_in", "fewer bars, " + ParameterNamed("count_in").Range(), func() { without.CountIn = 0 }},
		{"tempo", "a faster tempo, " + ParameterNamed("tempo").Allowed, func() { without.Tempo = 0 }},
	} {
		longer.leave()
		settings, err := without.settings(p.door.limits)
		if err != nil {
			return "", ""
		}
		if _, more := perform.Perform(p.doc, settings); !more.Has(diag.Error) {
			return longer.name, longer.allowed
		}
	}
	return "", ""
}

// Prepare plans how the piece sounds, once; nothing is rendered. Whatever needs
// the plan calls it. It fails when ctx ends, and can be called again then;
// otherwise an error is a fault of the program.
func (p *Piece) Prepare(ctx context.Context) error {
	return p.PrepareWatched(ctx, func(int64) error { return nil })
}

// PrepareWatched prepares a piece, and tells listen how many frames have to be
// rendered for it, if any, before they are; its error ends the work.
func (p *Piece) PrepareWatched(ctx context.Context, listen func(frames int64) error) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.prepared.Load() {
		return p.failed
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	stopped := p.prepare(func(frames int64) error {
		if frames > 0 {
			if err := listen(frames); err != nil {
				return err
			}
		}
		return ctx.Err()
	})
	if stopped != nil {
		return stopped
	}
	p.prepared.Store(true)
	return p.failed
}

// Prepared reports whether the piece is prepared.
func (p *Piece) Prepared() bool { return p.prepared.Load() }

// prepare is ended by an error of watch, which it returns.
func (p *Piece) prepare(watch func(frames int64) error) (stopped error) {
	heard, settings := p.heard(), p.sounding()
	settings.Watch = func(frames int64) error {
		stopped = watch(frames)
		return stopped
	}
	sound, err := synth.Prepare(heard, settings)
	if err != nil {
		if stopped == nil {
			p.failed = err
		}
		return stopped
	}
	p.sound = sound
	p.aboutMix(heard)
	if sound.Report().PeakWins {
		p.reported.Add(diag.Warning, diag.LoudnessMissed, diag.Span{}, "Ask for a lower loudness.",
			"The sound is quieter than was asked for, because its peaks would otherwise be cut off.")
	}
	return nil
}

// Voices is how many tones all notes have together, those of the backing included.
func (p *Piece) Voices() int {
	n := len(p.score.Backing)
	for _, note := range p.score.Notes {
		n += len(note.Voices)
	}
	return n
}

// Bytes estimates how much memory the piece takes, a little high.
// ref: measured on pages of one thing over and over: notes, bends, bars, breaths,
// remarks, sections, words, empty lines, rests that are repeated.
func (p *Piece) Bytes() int {
	// Bytes: at least; for each voice, event or chord, row of tab, and other line; for each byte of one, and of the other.
	const bare, voice, event, row, line, played, told = 8 << 10, 720, 96, 512, 80, 340, 64
	piece := p.doc.Unfold()
	n := bare + voice*p.Voices() + event*(len(piece.Events)+len(piece.Chords)+len(p.score.Chords))
	for _, l := range p.doc.Lines {
		if l.Kind == tab.TabLine {
			n += row + played*len(l.Text)
		} else {
			n += line + told*len(l.Text)
		}
	}
	return n
}

// Work is how much there is to render, in voice-seconds at 48,000 frames a second:
// the seconds that each tone sounds, and at least those that the file lasts.
func (p *Piece) Work() float64 {
	sum := 0.0
	for _, note := range p.score.Notes {
		sum += note.Seconds * float64(len(note.Voices))
	}
	for _, b := range p.score.Backing {
		sum += b.Seconds
	}
	return max(sum, p.score.Seconds) * float64(p.req.Rate) / 48000
}

// sounding is the request as settings of the synthesizer.
func (p *Piece) sounding() synth.Settings {
	return synth.Settings{
		Rate: p.req.Rate, Depth: p.req.Depth, Channels: p.req.channels(), Split: p.req.Mix == mixSplit,
		Room: p.req.Room, Loudness: p.req.Loudness, Tables: p.door.tables,
	}
}

// Title is the page's title, empty where it has none.
func (p *Piece) Title() string { return p.score.Title }

// Tempo is how fast the piece is played, in beats a minute.
func (p *Piece) Tempo() float64 { return p.score.Tempo }

// HasChords says that the page has rows of chords.
func (p *Piece) HasChords() bool {
	return slices.ContainsFunc(p.doc.Lines, func(l tab.Line) bool { return l.Kind == tab.ChordsLine })
}

// Rewritten is the page in the convention the request asks for. It fails when
// ctx ends.
func (p *Piece) Rewritten(ctx context.Context) (string, error) {
	if err := ctx.Err(); err != nil {
		return "", err
	}
	return p.rewritten(tab.Convention(p.req.ToConvention)), nil
}

// Diagnostics lists everything reported about the piece, in the order of the
// page. It fails when ctx ends; any other error is a fault of the program.
func (p *Piece) Diagnostics(ctx context.Context) ([]diag.Diagnostic, error) {
	err := p.Prepare(ctx)
	return p.diagnostics(), err
}

func (p *Piece) diagnostics() []diag.Diagnostic {
	return p.doc.Source.PlaceAll(p.reported)
}

// Score is what is played, when and at what pitch, with every diagnostic. It
// fails when ctx ends; any other error is a fault of the program.
func (p *Piece) Score(ctx context.Context) (openapi.Score, error) {
	if err := p.Prepare(ctx); err != nil {
		return openapi.Score{}, err
	}
	out := answer(p.score)
	out.Seconds = rounded(float64(p.sound.Frames()) / float64(p.req.Rate))
	out.Dialect, out.Partial = dialect(p.doc.Dialect), p.partial
	out.Diagnostics = p.diagnostics()
	out.Lines = make([]openapi.Line, len(p.doc.Lines))
	for i, l := range p.doc.Lines {
		out.Lines[i] = openapi.Line{Line: l.Number, Kind: openapi.LineKind(l.Kind), Text: l.Text}
	}
	return out, nil
}

// Sound is the piece ready to be rendered. It fails when ctx ends; any other
// error is a fault of the program.
func (p *Piece) Sound(ctx context.Context) (*Sound, error) {
	if err := p.Prepare(ctx); err != nil {
		return nil, err
	}
	f, err := p.file()
	return &Sound{file: f, sound: p.sound}, err
}

// EngineVersion names the sound: the same request and the same version are the
// same bytes.
func EngineVersion() string { return synth.Version }

// options is the request as options of the parser.
func (r Request) options(l Limits) tab.Options {
	metre, _ := tab.ParseMetre(r.Metre) // "" is none; anything else was checked on its way in
	return tab.Options{
		Convention: tab.Convention(r.Convention), Metre: metre, Limits: l.page(),
		Chords: r.Backing != string(perform.NoBacking),
	}
}

// settings is the request as settings of the performance.
func (r Request) settings(l Limits) (perform.Settings, error) {
	out := perform.Settings{
		Tuning: harp.Tuning(r.Tuning), A4: r.A4, Tempo: r.Tempo, Swing: r.Swing,
		Brackets: perform.Brackets(r.Brackets), Bends: perform.Bends(r.Bends), Phrasing: perform.Phrasing(r.Phrasing),
		From: r.From.bound(), To: r.To.bound(),
		Repeat: r.Repeat, CountIn: r.CountIn, Click: r.Click, Backing: perform.Backing(r.Backing), Style: band.Style(r.Style), Position: r.Position,
		MaxSeconds: l.Duration.Seconds(), MaxNotes: l.Notes, Harp: r.Harp,
	}
	if r.Layout.Name != "" {
		layout, err := r.Layout.reeds()
		if err != nil {
			return out, err
		}
		out.Layout = &layout
	}
	return out, nil
}

func (e Edge) bound() *perform.Bound {
	if e == (Edge{}) {
		return nil
	}
	return &perform.Bound{Line: e.Line, Beat: e.Beat}
}
