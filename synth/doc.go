// Package synth plays a score: notes in, samples out.
//
// Prepare reads the score once and knows everything: which parts sound when
// (synth/reed), what room they sound in (synth/room), how loud that will be
// and so by what gain (synth/level), and how many frames there are. It makes
// samples only where the sound is so loud that its peaks might have to be held
// down, and keeps none. Samples then renders any range of frames, the same bits
// whoever asks for how much, by how many processors, in what order.
//
//	score notes ─► parts ─► dry bus ─► room ─► gain ─► dither, round ─► frames
//	                 └────► ledger ─► gain, Report
package synth

// Version names the sound: it changes whenever a sample of any score does.
const Version = "14"
