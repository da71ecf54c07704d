// Package band works out what plays along: chords and bars in, the notes of a
// bass and of a player of chords out.
//
// A bar falls into groups of two or three beats, whatever its metre: 4/4 is
// 2+2, 6/8 is 3+3, 5/4 is 3+2. The bass takes the first beat of each group, the
// chords the others, so a march, a waltz and a jig need no tables of their own.
// Where beats are long, or swing, the chords also take the half of a beat. Both
// players meet every chord: the bass where it begins, the chords at least once.
//
// The chords are three voices. Of all places a chord can be put they take the
// one nearest to where they are, so that a note two chords share stays where it
// is and the others move by a step or two. The bass walks between the root, or
// the note under the slash, and the fifth, by the shorter way.
//
// Time is beats, exact, as written; seconds, swing and rounds are not known
// here. ref: the patterns are common practice, no source.
package band
