// Package course knows what a course is made of: many pages, each played in
// several versions, and which of those sounds are there already.
//
// A [Version] is a harp and a tempo. The tempo may be a share of the page's own,
// so that one line asks for a slow and a full version of pages of all speeds.
// What is to be made is asked for as an api.Request like everything else; its
// [Fingerprint] says whether a sound is still the one that would be made, and a
// [Ledger] keeps the fingerprints in the folder of the sounds. The ledger decides
// by content, the words of the page and the settings, and not by the clock, so
// that a page saved without a change is not rendered again.
package course
