// Package batch turns many pages into many files.
//
// [Find] walks folders for pages. [Versions] lists the harps and tempos that each
// page is played in, and [Plan] gives every sound its place and refuses what would
// overwrite a page or another sound before any work begins. [Run] does the jobs on
// all processors. A [Ledger] in the output folder remembers what was made by its
// content, not by the clock, so the next run makes only what is new or changed.
//
// Every file appears whole or not at all: [WriteFile] fills a locked temporary file
// beside the target and renames it. The lock, not a process id, tells a file that is
// being written from one that a killed process left behind, so two containers that
// share a volume do not remove each other's files.
package batch
