package api

// Request is everything a caller can ask about a tab. Start from [Defaults];
// where a comment says "the page's", the zero value leaves the choice to the
// page's own header and then to the default named.
type Request struct {
	Tab string // at most MaxTab bytes

	Harp   string  // "C", "low F"; "" for the page's, else C
	Layout Layout  // zero for the page's, else richter
	Tuning string  // "" for the page's, else equal
	A4     float64 // Hz, 415 to 466

	Tempo float64 // beats a minute, 20 to 400; 0 for the page's, else 100
	Metre string  // "6/8"; "" for the page's, else none
	Swing float64 // 0.5 to 0.75; 0 for the page's, else 0.5

	Brackets     string // soft, full, skip
	Bends        string // glide, direct
	Phrasing     string // played, plain
	Convention   string // auto, signs, letters, arrows
	ToConvention string // signs, letters, arrows

	From, To Edge // zero for the whole piece
	Repeat   int  // times round, 1 to 32
	CountIn  int  // bars, 0 to 4
	Click    bool
	Backing  string  // off, drone, chords
	Mix      string  // all, melody, backing, split
	Room     float64 // 0 to 1

	Cues     bool    // names the places of lines and sections in a WAV file
	Format   string  // "" to choose by what the caller accepts
	Rate     int     // frames a second: 22050, 44100, 48000
	Depth    int     // bits a sample: 16, 24
	Channels int     // 1, 2; a split mix has two whatever this is
	Position int     // 1 to 12
	Loudness float64 // LUFS, -30 to -12
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

// Defaults is a Request that asks for nothing in particular.
func Defaults() Request {
	return Request{
		A4:           440,
		Brackets:     "soft",
		Bends:        "glide",
		Phrasing:     "played",
		Convention:   "auto",
		ToConvention: "signs",
		Repeat:       1,
		Backing:      "off",
		Mix:          "all",
		Room:         0.15,
		Rate:         48000,
		Depth:        16,
		Channels:     1,
		Position:     1,
		Loudness:     -16,
	}
}
