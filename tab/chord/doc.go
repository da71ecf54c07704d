// Package chord reads chord symbols as musicians write them.
//
// A symbol is a root, a quality and, after a slash, another bass: "F#m7b5/A".
// The quality names the notes that stand over the root by their distance: a
// third and a fifth to begin with, which "m", "dim", "aug" and "sus" change,
// a seventh and what is stacked on it ("7", "9", "13"), what is added ("6",
// "add9") and what is moved ("b5", "#9"). A chord here is its pitch classes;
// in which octave and on what instrument they sound is a player's business.
//
// ref: the spellings are those of C. Brandt & C. Roemer, "Standardized Chord
// Symbol Notation", 1976 (from memory), and of common practice, no source.
package chord
