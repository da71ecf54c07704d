// Package practice packs what a lesson needs into one file to hand on: the pages
// as text, each as sounds in several harps and tempos, and a page that plays them.
//
// The file is a zip, written from front to back as the sounds are made, so that a
// set of any size needs no more memory than one sound. The page that plays them is
// plain HTML without a script, for a browser that is offline. The names in the zip
// are made of the titles and are valid on every system. Nothing in it depends on
// when or where it was made: the same set is the same bytes.
package practice
