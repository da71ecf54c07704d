// Package tab reads harmonica tab as teachers and learners type it, and prints
// it back.
//
// [Parse] makes a [Document] of a page and never fails: what is wrong, doubtful
// or worth saying is in its problems, each with its place. [Document.Unfold]
// is the page in playing order, in exact beats; [Document.Print] writes it in
// any [Convention].
//
// A page is read in a few passes, and each rule has a file named after it.
// Characters are normalised to cells that know the bytes they were typed as
// (normalise). The words of a line vote whether it is tab (sheet, lines,
// vote); the notes of the page vote how it tells blow from draw (convention).
// Then every line of tab is cut into items (scan, note_scan), and the items
// are settled: notes, brackets, holds, slides, repeats of the line (note,
// glue, bracket, hold, slide, times). The rows are put into playing order with
// their repeats folded (repeat), measured (brace, count, claim), checked
// against bars and limits (bar, length, size) and played (unfold).
//
// Nothing here knows pitch, time or harps, and no work grows faster than the
// page: what a page asks for is reckoned before it is expanded (size).
package tab
