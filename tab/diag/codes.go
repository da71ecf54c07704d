package diag

// Code names a kind of problem in kebab-case, for programs to tell them apart.
type Code string

// What only a player with a harp in hand can find.
const (
	HarpUnknown   Code = "harp-unknown"   // a header names a harp, layout or tuning there is not
	KeyAsHarp     Code = "key-as-harp"    // Key: was read as Harp:
	KeyNotRead    Code = "key-not-read"   // Key: says more than a harp can, such as Am
	HeaderRest    Code = "header-rest"    // more stands in a header than was read
	BendTooDeep   Code = "bend-too-deep"  // deeper than the reeds of the hole allow
	OverNone      Code = "over-none"      // the hole has no over on this breath
	OverRare      Code = "over-rare"      // few players get it
	BeatIsEighth  Code = "beat-is-eighth" // 6/8, 9/8 or 12/8 with a slow tempo
	RangeEmpty    Code = "range-empty"    // from and to leave nothing between them
	RangeSilent   Code = "range-silent"   // no note begins between from and to
	SoundTooLong  Code = "sound-too-long"
	TooManyPlayed Code = "too-many-played" // notes, with every repetition
)

// What only the loudspeaker tells.
const LoudnessMissed Code = "loudness-missed" // the peaks leave no room for the loudness asked for

// Codes is every code there is, in the order of the notation's chapters; the
// OpenAPI document lists the same.
var Codes = []Code{
	HarpUnknown, KeyAsHarp, KeyNotRead, HeaderRest, BendTooDeep, OverNone, OverRare, BeatIsEighth,
	RangeEmpty, RangeSilent, SoundTooLong, TooManyPlayed,
	LoudnessMissed,
}
