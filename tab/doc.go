// Package tab reads harmonica tab as teachers and learners type it, and prints
// it back.
//
// [Parse] makes a [Document] of a page and never fails: what is wrong, doubtful
// or worth saying is in its problems, each with its place. [Document.Unfold]
// is the page in playing order, in exact beats; [Document.Print] writes it in
// any [Convention]. Three stages, each a package with a file for each rule:
//
//	scan    characters → lines → items; how the page tells blow from draw
//	notes   items → notes: holes, brackets, holds, slides, x2
//	unfold  notes → playing order: beats, counts, bars, repeats, chords
//
// Blow, draw, bends, overs and brackets are settled for the whole page, each by
// the request, else a header (Draw: 4_), else a legend (“( ) = draw”), else the
// notes: signs, letters, arrows, signs behind the hole, breath words, any marks
// (scan/dialect). A line is words where its words say so; quoting, bullets,
// numbering, times, dates and links never play (scan/lines, quote, numbering,
// words), and harp, tempo and metre are read from words in twelve languages
// (scan/heading, package lexicon). Endings, D.C., D.S. and sections named again
// are obeyed (scan/ending, direction, again). What has two readings is played
// in one and asked about once. Nothing here knows pitch or harps, and no work
// grows faster than the page.
package tab
