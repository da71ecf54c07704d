// Package tab reads harmonica tab as teachers and learners type it, and prints
// it back.
//
// [Parse] makes a [Document] of a page and never fails: what is wrong, doubtful
// or worth saying is in its problems, each with its place. [Document.Unfold]
// is the page in playing order, in exact beats; [Document.Print] writes it in
// any [Convention].
//
// A page is read in three stages, each a package with a type of its own, and
// each rule has a file named after it:
//
//	scan    characters → lines → items; how the page tells blow from draw
//	notes   items → notes: holes, brackets, holds, slides, x2
//	unfold  notes → playing order: beats, counts, bars, repeats, chords
//
// What comes out is plain data, the types of package tree, which have their
// names here too. All stages report to one [diag.Reporter].
//
// Nothing here knows pitch, time or harps, and no work grows faster than the
// page.
package tab
