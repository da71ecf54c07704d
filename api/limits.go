package api

import "time"

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
