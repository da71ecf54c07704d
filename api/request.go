package api

import "reedlark/tab/harp"

// Request is everything a caller can ask about a tab; what each field may be is
// in the table of [Parameters]. Start from [Defaults]: where a comment says "the
// page's", the zero value leaves the choice to the page's own header and then to
// the value named.
type Request struct {
	Tab string // at most MaxTab bytes

	Harp   *harp.Key // nil for the page's, else C
	Layout Layout    // zero for the page's, else richter
	Tuning string    // "" for the page's, else equal
	A4     float64   // Hz

	Tempo float64 // beats a minute; 0 for the page's, else 100
	Metre string  // "6/8"; "" for the page's, else none
	Swing float64 // 0 for the page's, else 0.5

	Brackets     string
	Bends        string
	Phrasing     string
	Convention   string
	Unread       string // refuse or skip
	ToConvention string

	From, To Edge // zero for the whole piece
	Repeat   int  // times round
	CountIn  int  // bars
	Click    bool
	Backing  string
	Style    string // a style of the band; "" for the page's, else the metre's
	Mix      string
	Room     float64 // 0 to 1

	Cues     bool    // names the places of lines and sections in a WAV file
	Format   string  // "" to choose by what the caller accepts
	Rate     int     // frames a second
	Depth    int     // bits a sample
	Channels int     // a split mix has two whatever this is
	Position int     // of the song's key on the harp, from 1
	Loudness float64 // LUFS
	Strict   bool    // warnings refuse the tab
}

// Layout is what each reed of a harp sounds: one of the layouts with a name, or
// ten notes for each breath, written for a harp in C. The zero Layout is none.
type Layout struct {
	Name       string
	Blow, Draw []string
}

// Edge is a place in a piece: a beat as it unfolds or a line of the page. The
// zero Edge is none.
type Edge struct {
	Line   int     // from 1; 0 where the edge is a beat
	Beat   float64 // from 0
	IsBeat bool    // tells beat 0 from no edge
}
