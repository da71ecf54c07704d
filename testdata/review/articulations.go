package main

// articulation is one thing a player does, in a few notes.
type articulation struct {
	name string   // of the files
	look string   // what to look for on the sheet
	tab  string   // one page
	set  []string // parameters and values
}

// articulations is every way Reedlark has of playing a note. All are dry, so
// that the room hides nothing.
var articulations = []articulation{
	{"steady-low", "A long low reed: slow rise, late upper partials, straight pitch.", "1----", nil},
	{"steady-middle", "A long middle reed.", "4----", nil},
	{"steady-high", "A long high reed: quick rise, few partials.", "9----", nil},
	{"registers", "Attack and scoop from the lowest to the highest reed, all after silence.", "1 r 4 r 7 r 10 r -1 r -4 r -7 r -10", nil},
	{"low-harp", "A harp two octaves down.", "1 r 2 r -1 r 4 - r", []string{"harp", "low G"}},
	{"high-harp", "The highest harp.", "1 r 4 r 7 r 10 - r", []string{"harp", "high G"}},
	{"blow-and-draw", "A change of breath leaves a gap and scoops anew.", "4 -4 4 -4 6 -6", nil},
	{"legato", "Other holes on one breath: no gap, hardly a scoop.", "4 5 6 5 4 - 7 4", nil},
	{"tongued", "The same note struck again: a short gap each time.", "4 4 4 4 {4 4} {4 4} 4", nil},
	{"breaths", "A comma ends the phrase.", "4 5 , 6 5 , 4", nil},
	{"quick", "Sixteenths at 120.", "{4 -4 5 -5} {6 -6 -7 7} {7 -7 -6 6} {-5 5 -4 4}", []string{"tempo", "120"}},
	{"accents", "Beat one and the beat are a shade stronger.", "| 4 {4 4} 4 4 | 4 {4 4} 4 4 |", []string{"metre", "4/4"}},
	{"chord-equal", "A chord whose thirds beat.", "456---- r -456----", []string{"tuning", "equal"}},
	{"chord-just", "The same chord without beats.", "456---- r -123----", []string{"tuning", "just"}},
	{"octave", "An octave split: two reeds, one breath.", "14---- r 36----", nil},
	{"bends-fallen-into", "Each bend begins near its reed and falls into place.", "-3/ - r -3// - r -3/// - r 8/ - r 10// - r", []string{"bends", "glide"}},
	{"bends-direct", "Each bend begins at its own pitch.", "-3/ - r -3// - r -3/// - r 8/ - r 10// - r", []string{"bends", "direct"}},
	{"bend-and-release", "Pitch moves on one hole, in an S, without a new attack.", "-3 - -> -3// - r -3// - -> -3 - r -2// -> -2", nil},
	{"bend-ladder", "From bend to bend on one breath.", "-3 -3/ -3// -3/// -3// -3/ -3", nil},
	{"overs", "Overblows and overdraws: late, thin and pure.", "4* r 5* r 6* r 1* r -7* r -9* r -10*", nil},
	{"vibrato", "Straight at first, then a swing below the pitch.", "-4~---- r 2~----", nil},
	{"shake", "Two holes in turn, without new attacks.", "45~---- r -45~----", nil},
	{"slide-between", "The holes between, each overlapping the next; the last on its beat.", "4 -> 7 - r 8 -> 5 -", nil},
	{"slide-into", "From nowhere in particular onto the note.", "r r > 7 - r > -6 -", nil},
	{"fall-off", "Off the note to nowhere.", "7 - > r r -6 - > r r", nil},
	{"grace", "Notes in brackets that touch the next one sound just before it.", "(5)6 - (4 5)6 - (-3/)-3 -", nil},
	{"brackets", "Filler notes are 9 dB softer.", "4 (5) 6 (7) 4", nil},
	{"fast-harp-change", "The longest jumps.", "1 10 1 10 -1 -10 -1 -10", []string{"tempo", "160"}},
	{"count-in", "A bar of clicks, then the tune with its clicks.", "4 -4 5 -5", []string{"metre", "4/4", "count_in", "1", "click", "true"}},
	{"shortest", "As fast as the tempo goes.", "{4 -4 5 -5} {6 -6 -7 7}", []string{"tempo", "400"}},
	{"room", "The default room, for once.", "4 - r r 7 - r r -2 - r r", []string{"room", "0.15"}},
}
