package diag

// Code names a kind of problem in kebab-case, for programs to tell them apart.
type Code string

// What the page alone tells, in the order of the notation's chapters.
const (
	UnknownWord       Code = "unknown-word"        // a word on a line of tab that is no note
	ControlCharacter  Code = "control-character"   // an invisible character on a line of tab
	InvalidUTF8       Code = "invalid-utf8"        // a byte that is no text
	ReadAsWords       Code = "read-as-words"       // a line of words that could have been tab
	WordUnplayed      Code = "word-unplayed"       // a word about playing beside notes, not obeyed
	Quoted            Code = "quoted"              // > at the head of lines, read as quotation
	Numbering         Code = "numbering"           // a number that counts the lines of the page
	NoSuchHole        Code = "no-such-hole"        // a number that is no hole
	SameHoleTwice     Code = "same-hole-twice"     // a chord that names a hole twice
	DescendingChord   Code = "descending-chord"    // a chord written from high to low
	TwoReadings       Code = "two-readings"        // notes glued together in a doubtful way
	MixedMarks        Code = "mixed-marks"         // two kinds of mark on one note
	MarkTwice         Code = "mark-twice"          // a mark that a note bears once
	BendPastLimit     Code = "bend-past-limit"     // a bend of more than twelve semitones
	ShakeTooWide      Code = "shake-too-wide"      // a shake on more than two holes
	MixedConventions  Code = "mixed-conventions"   // notes in another convention than the page
	LowerCaseB        Code = "lower-case-b"        // b after a number, read as blow for want of anything else
	BareNumber        Code = "bare-number"         // a note that does not say its breath where others do
	HoldFirst         Code = "hold-first"          // a hold that extends the line above
	HoldOrDraw        Code = "hold-or-draw"        // a hold that may have been meant as a draw sign
	HoldsNothing      Code = "holds-nothing"       // a hold where there is no note to hold
	SignBeforeBracket Code = "sign-before-bracket" // a dash glued to an opening bracket or brace
	EmptyBrace        Code = "empty-brace"         // braces with nothing in them
	BarInBrace        Code = "bar-in-brace"        // a bar line or repeat sign in braces
	TooDeep           Code = "too-deep"            // braces or repeats nested deeper than the limit
	CountRow          Code = "count-row"           // a row of numbers, read as the counts of the row above
	MaybeCount        Code = "maybe-count"         // a row of numbers that may be counts, and is played
	CountAlone        Code = "count-alone"         // a count row without a line of tab
	CountTwice        Code = "count-twice"         // a second count row for one line
	UnknownCount      Code = "unknown-count"       // a word that is no count
	CountPastMetre    Code = "count-past-metre"    // a number above the beats of a bar
	CountMismatch     Code = "count-mismatch"      // notes and counts differ in number
	CountContradicted Code = "count-contradicted"  // hold marks or braces say other than the counts
	CountBar          Code = "count-bar"           // a bar line in a count row that stands inside a bar
	UncountedStops    Code = "uncounted-stops"     // a row without counts that stops inside a bar
	MetreGuessed      Code = "metre-guessed"       // counts without a metre
	SlideTwice        Code = "slide-twice"         // two slides without a note between
	SlideAlone        Code = "slide-alone"         // a slide that touches no note
	NestedBrackets    Code = "nested-brackets"     // brackets in brackets
	NeverClosed       Code = "never-closed"        // a bracket, brace or repeat that stays open
	NeverOpened       Code = "never-opened"        // a bracket or brace that closes nothing
	EmptyBracket      Code = "empty-bracket"       // brackets with nothing in them
	GraceHeld         Code = "grace-held"          // a hold or a rest among grace notes
	Remark            Code = "remark"              // words in brackets, kept and not played
	BarLength         Code = "bar-length"          // a bar that does not add up
	TimesInside       Code = "times-inside"        // x2 inside a line
	TimesCut          Code = "times-cut"           // x2 that cuts a repeat in two
	RepeatsNothing    Code = "repeats-nothing"     // a repeat of nothing that plays
	RepeatCount       Code = "repeat-count"        // a repeat of no times, or of more than the limit
	EndingOrHole      Code = "ending-or-hole"      // a number behind a bar line that may be an ending
	RepeatFromHere    Code = "repeat-from-here"    // :| without |:
	PlayedAgain       Code = "played-again"        // rows above are played again
	OrderUnread       Code = "order-unread"        // an order of sections that is not obeyed
	RepeatUnread      Code = "repeat-unread"       // words that ask for a repeat and are not obeyed
	ChordsUnmarked    Code = "chords-unmarked"     // a row of chords without chords:, where chords are to be played
	JumpLost          Code = "jump-lost"           // a D.C. or D.S. that cannot be obeyed
	LoneMetre         Code = "lone-metre"          // a metre alone on a line
	HeaderInWords     Code = "header-in-words"     // words above the tab that say what a header would
	HeaderLate        Code = "header-late"         // a header after the first line of tab
	HeaderTwice       Code = "header-twice"        // a header given twice
	HeaderEmpty       Code = "header-empty"        // a header without a value
	HeaderUnread      Code = "header-unread"       // a header with no value that fits
	HeaderRange       Code = "header-range"        // a value that is out of range
	TitleTooLong      Code = "title-too-long"      // a title longer than the limit
	TextTooLong       Code = "text-too-long"       // a page longer than the limit
	TooManyNotes      Code = "too-many-notes"      // more notes than the limit, repeats written out
	NoteTooLong       Code = "note-too-long"       // a note held longer than the limit
	UnknownChord      Code = "unknown-chord"       // a word in a row of chords that is no chord
	ChordsMismatch    Code = "chords-mismatch"     // bars of chords and bars of tab differ in number
	ChordsAlone       Code = "chords-alone"        // chords that belong to no line of tab
	NothingToPlay     Code = "nothing-to-play"     // a page without a note
)

// What only a player with a harp in hand can find.
const (
	HarpUnknown   Code = "harp-unknown"   // a header names a harp, layout or tuning there is not
	KeyAsHarp     Code = "key-as-harp"    // Key: was read as Harp:
	KeyNotRead    Code = "key-not-read"   // Key: says more than a harp can, such as Am
	HeaderRest    Code = "header-rest"    // more stands in a header than was read
	BendTooDeep   Code = "bend-too-deep"  // deeper than the reeds of the hole allow
	OverNone      Code = "over-none"      // the hole has no over on this breath
	OverRare      Code = "over-rare"      // few players get it
	LongBreath    Code = "long-breath"    // a run on one breath that outlasts a player's
	WideLeap      Code = "wide-leap"      // a leap of many holes in too little time
	BeatIsEighth  Code = "beat-is-eighth" // 6/8, 9/8 or 12/8 with a slow tempo
	RangeEmpty    Code = "range-empty"    // from and to leave nothing between them
	RangeSilent   Code = "range-silent"   // no note begins between from and to
	NoChords      Code = "no-chords"      // chords are to be played and the page has none
	ChordsMoved   Code = "chords-moved"   // with the harp, to another key
	SoundTooLong  Code = "sound-too-long"
	TooManyPlayed Code = "too-many-played" // notes, with every repetition
)

// What only the loudspeaker tells.
const (
	MixSilent      Code = "mix-silent"      // nothing is heard of the parts asked for
	LoudnessMissed Code = "loudness-missed" // the peaks leave no room for the loudness asked for
)

// What there is to say about the rhythm of a page, most of it by whoever taps it.
const (
	TempoGuessed    Code = "tempo-guessed"    // nobody said how long a beat is
	TempoTapped     Code = "tempo-tapped"     // the taps have a tempo, and the page says none
	TempoOff        Code = "tempo-off"        // the taps have another tempo than the page
	PassesDiffer    Code = "passes-differ"    // a row that was tapped in two ways
	NoRhythm        Code = "no-rhythm"        // a page that does not say how long its notes are
	UseGaps         Code = "use-gaps"         // whose blanks seem to say it
	RhythmUnwritten Code = "rhythm-unwritten" // a row that the rhythm cannot be written into
)

// What a page says of the score it was made from.
const (
	ScoreRead Code = "score-read" // what was taken from the score, and what was left out
	NoteLost  Code = "note-lost"  // a note of the score that the harp lacks
)

// Codes is every code there is, in the order of the notation's chapters; the
// OpenAPI document lists the same.
var Codes = []Code{
	UnknownWord, ControlCharacter, InvalidUTF8, ReadAsWords, WordUnplayed, Quoted, Numbering, NoSuchHole, SameHoleTwice,
	DescendingChord, TwoReadings, MixedMarks, MarkTwice, BendPastLimit, ShakeTooWide, MixedConventions,
	LowerCaseB, BareNumber, HoldFirst, HoldOrDraw, HoldsNothing, SignBeforeBracket, EmptyBrace, BarInBrace,
	TooDeep, CountRow, MaybeCount, CountAlone, CountTwice, UnknownCount, CountPastMetre, CountMismatch, CountContradicted, CountBar,
	UncountedStops, MetreGuessed, SlideTwice, SlideAlone, NestedBrackets, NeverClosed, NeverOpened, EmptyBracket,
	GraceHeld, Remark, BarLength, TimesInside, TimesCut, RepeatsNothing, RepeatCount, EndingOrHole, RepeatFromHere, JumpLost, ChordsUnmarked, RepeatUnread, PlayedAgain, OrderUnread, LoneMetre,
	HeaderInWords, HeaderLate, HeaderTwice, HeaderEmpty, HeaderUnread, HeaderRange, TitleTooLong, TextTooLong, TooManyNotes,
	NoteTooLong, UnknownChord, ChordsMismatch, ChordsAlone,
	LegendRead, LegendUnread, LegendContradicts, BracketsMayBeDraw, UnknownMarks, NoDrawFound, BareIsBlow,
	SignRow, BracketedNumber, BracketsGroup, SplitOrBend, NothingToPlay,
	HarpUnknown, KeyAsHarp, KeyNotRead, HeaderRest, BendTooDeep, OverNone, OverRare, LongBreath, WideLeap, BeatIsEighth,
	RangeEmpty, RangeSilent, NoChords, ChordsMoved, SoundTooLong, TooManyPlayed,
	MixSilent, LoudnessMissed,
	TempoGuessed, TempoTapped, TempoOff, PassesDiffer, NoRhythm, UseGaps, RhythmUnwritten,
	ScoreRead, NoteLost,
}

// Skippable reports whether a page with an error of this kind can be played
// without what is wrong. Limits and what is out of range refuse it in any case.
func (c Code) Skippable() bool {
	switch c {
	case TextTooLong, TooManyNotes, NoteTooLong, TitleTooLong, HeaderRange, NothingToPlay, InvalidUTF8, UnknownMarks:
		return false
	}
	return true
}
