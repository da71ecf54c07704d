// Package api is the one door: a [Request] goes in, and a score, a sound, a
// page of tab written anew or the chart of a harp comes out, or what is wrong.
//
// Queries, JSON bodies, links and command-line flags all fill the same Request
// through one table of [Parameters], and everything is made by the same few
// functions, so that the command line and the HTTP interface cannot disagree.
// Limits and defaults live here and nowhere else.
//
//	req := api.Defaults()
//	err := req.Set("tempo", "90")    // a flag; FromQuery and FromJSON read whole requests
//	piece, err := api.Open(ctx, req) // reads and plays the tab, renders nothing yet
//	sound, err := piece.Sound(ctx)   // its size is known before its first byte
//	err = sound.WriteTo(ctx, file)
//
// There are three kinds of failure and [FailureOf] tells them apart: the tab is
// at fault (*[TabError], with every diagnostic), the call is (*[CallError],
// with the parameter and what it may be), or we are (anything else).
package api
