// Package rhythm writes the lengths of notes into a page of tab, and changes
// nothing else of it.
//
//	page := rhythm.Read(doc)
//	text, left := page.Write(plan, read)
//
// A page writes lengths in two ways. With hold marks and braces each beat is
// written out: 4- is two beats, {4 5} shares one, and 4 {- 5} ties a note over to
// the half of the next beat. A count row says under each note where it is
// counted. The first is used where it can say the rhythm, the second where it
// cannot, as when a beat is divided by the end of a row, or where the page
// counts already.
//
// A row is taken apart into its notes and rests (row.go), which get their lengths
// (plan.go) and are cut at the beats (piece.go); hold.go and count.go write the
// row anew. The new page is read again and compared with the plan (write.go): a
// row that does not say what it should is written the other way, and left as it
// was where that fails too.
package rhythm
