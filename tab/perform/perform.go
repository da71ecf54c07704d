// Package perform plays a page of tab as a player would, harp in hand and foot
// on the beat. In goes a [tab.Document], which knows holes and beats; out comes
// a [score.Score], which knows hertz and seconds, or a list of problems.
//
// The way through the package, one file a step:
//
//	settings  what the caller may choose, and its bounds
//	head      which harp: the caller's, else the page's, else one in C
//	check     what the page asks for that no harp can play
//	stamina   what leaves a player no time to breathe or to leap
//	span      which part of the piece is played, from and to
//	limit     whether that is too much
//	bar       where beat one is
//	clock     exact beats to seconds, swing included
//	step      the events of that part, written out over all rounds
//	ornament  graces and slides, laid into the time before a note
//	slide     what sounds on the way from note to note
//	phrase    how each note begins, ends and is stressed; shape whole phrases
//	voice     hole and breath to pitch
//	bend      the fall into a bent note
//	click     the count-in and the metronome
//	backing   what plays along
//	place     where in the page each note stands
//
// Beats are exact until the tempo is applied. A sound is a note in the making.
package perform

import (
	"reedlark/tab"
	"reedlark/tab/beat"
	"reedlark/tab/diag"
	"reedlark/tab/harp"
	"reedlark/tab/score"
)

// Lead is the time kept free before the first note, seconds: a voice may speak
// that much early so that it is heard on the beat. by ear: low reeds need it.
const Lead = 0.015

// Tail is the silence after the last beat, seconds, in which the room dies away.
const Tail = 0.25

// Perform plays a document that has no errors, with settings that are within
// the ranges they name. The score is nil when the list
// holds an error: a part with nothing in it, or a limit passed. Problems of the
// document itself are not repeated.
func Perform(doc *tab.Document, s Settings) (*score.Score, diag.List) {
	return play(doc, doc.Unfold(), s.filled(doc.Head))
}

// Judge tells what is doubtful on the harp in a document that has errors and
// cannot be played, so that all problems of a page come in one answer.
func Judge(doc *tab.Document, s Settings) diag.List {
	p := &player{doc: doc, piece: doc.Unfold(), set: s.filled(doc.Head)}
	p.harp = p.chooseHarp()
	p.checkPlayable()
	return p.problems
}

// play performs a piece that is already in playing order.
func play(doc *tab.Document, piece *tab.Piece, s Settings) (*score.Score, diag.List) {
	p := &player{doc: doc, piece: piece, set: s, known: map[embouchure][]score.Voice{}}
	p.harp = p.chooseHarp()
	p.chooseStyle()
	p.checkPlayable()
	p.checkMetre()
	p.grid = p.bars()
	p.chooseSpan()
	p.checkLimits()
	p.checkBacking()
	if p.problems.Has(diag.Error) {
		return nil, p.problems
	}
	sc := p.score()
	return sc, p.problems
}

// player is what playing one piece needs to know.
type player struct {
	doc      *tab.Document
	piece    *tab.Piece
	set      Settings
	harp     harp.Harp
	written  harp.Key // of the harp the page is written for
	grid     bars
	from, to beat.Time                    // the part that is played, beats
	known    map[embouchure][]score.Voice // of the notes played so far
	problems diag.List
}

// score plays the chosen part.
func (p *player) score() *score.Score {
	clock := newClock(p.piece, p.from, p.to, p.set)
	sounds := p.ornament(clock)
	p.join(sounds)
	phrasing := p.phrasing()
	if phrasing.Played {
		shape(sounds, phrasing.Seed)
	}
	p.checkStamina(sounds)
	lead := leadIn(sounds.notes)
	zero := lead + clock.plain(p.countBeats())
	return &score.Score{
		Title:    p.doc.Head.Title,
		Harp:     score.Harp{Key: p.harp.Key.String(), Layout: p.harp.Layout.Name, Tuning: string(p.harp.Tuning), A4: p.harp.A4},
		Position: p.set.Position,
		SongKey:  p.harp.Key.SongKey(p.set.Position),
		Tempo:    p.set.Tempo,
		Metre:    metreName(p.doc.Metre),
		Beats:    p.beats(),
		Seconds:  zero + clock.total() + Tail,
		Zero:     zero,
		Notes:    moveBy(zero, sounds.notes),
		Entries:  p.entries(clock, zero),
		Clicks:   p.clicks(clock, lead, zero),
		Backing:  p.backing(clock, zero),
		Chords:   p.chords(clock, zero),
		Moved:    p.moved(),
		Phrasing: phrasing,
	}
}

// leadIn is how long before beat 0 something may sound.
func leadIn(notes []score.Note) float64 {
	if len(notes) == 0 {
		return 0
	}
	return max(0, Lead-notes[0].Start)
}

// moveBy moves notes to where the sound file puts beat 0.
func moveBy(zero float64, notes []score.Note) []score.Note {
	for i := range notes {
		notes[i].Start += zero
	}
	return notes
}
