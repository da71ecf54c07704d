// Package band sounds the notes of those who play along: a plucked string and a
// soft tone that is held.
//
// Both are additive tones like a reed (synth/reed): the sum of a fundamental
// and its harmonics over one turn, built once and then only read. A string has
// two waves, the whole of it and its edge, the upper partials that its pluck
// adds: both die away, the edge sooner, so the string darkens as it rings. The
// soft tone swells, stays and is let go; it has no edge.
//
// A Note is a [reed.Part] and keeps its contract: no state, the same bits
// however time is cut, silent after its end. It tells its strength at any frame
// and its table the power and the peak that go with it, so that the level of a
// sound is known before it sounds.
package band
