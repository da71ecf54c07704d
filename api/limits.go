package api

import (
	"fmt"
	"time"

	"reedlark/tab"
)

// Limits. A request cannot raise them. The same figures stand in the OpenAPI
// document and in the error that names them.
const (
	MaxTab      = 64 << 10         // bytes of a tab
	MaxNotes    = 20_000           // notes, once repeats are written out
	MaxDuration = 15 * time.Minute // of sound
	MaxDepth    = 4                // of braces and of repeats
	MaxRepeat   = 16               // as in x16
	MaxBeats    = 256              // of one note
	MaxTitle    = 200              // characters

	MaxBody     = 256 << 10 // bytes of a JSON body
	MaxURL      = 8_000     // bytes of a URL, path and query
	MaxLink     = 6_000     // characters of z
	MaxInflated = 96 << 10  // bytes of z once inflated
)

// Limits are what an operator allows. Each can lower the limit of its name and
// never raise it; 0 leaves it as it is. No request can change them.
type Limits struct {
	Tab      int           // bytes of a tab
	Notes    int           // notes, once repeats are written out
	Duration time.Duration // of sound
	Depth    int           // of braces and of repeats
	Repeat   int           // as in x16
	Beats    int           // of one note
	Title    int           // characters
}

// lowered are the limits that hold.
func (l Limits) lowered() Limits {
	return Limits{
		lower(l.Tab, MaxTab), lower(l.Notes, MaxNotes), lower(l.Duration, MaxDuration),
		lower(l.Depth, MaxDepth), lower(l.Repeat, MaxRepeat), lower(l.Beats, MaxBeats), lower(l.Title, MaxTitle),
	}
}

func lower[N int | time.Duration](wanted, most N) N {
	if wanted <= 0 {
		return most
	}
	return min(wanted, most)
}

// page are the limits as the reading of a page knows them.
func (l Limits) page() tab.Limits {
	return tab.Limits{
		Bytes: l.Tab, Notes: l.Notes, Depth: l.Depth,
		Repeat: l.Repeat, NoteBeats: l.Beats, TitleLength: l.Title,
	}
}

// fits refuses a tab that is larger than an operator allows.
func (l Limits) fits(page string) error {
	if len(page) <= l.Tab {
		return nil
	}
	return &CallError{
		Kind: TooLarge, Parameter: "tab", Allowed: fmt.Sprintf("text of at most %d bytes", l.Tab),
		Detail: fmt.Sprintf("tab has %d bytes, but it may have %d here", len(page), l.Tab),
	}
}
