// Package synth plays a score: notes in, samples out.
//
// Prepare reads the score once and plans everything: which parts sound when
// (synth/reed, synth/band), in what room (synth/room), how loud that will be and
// so at what gain (synth/loud), and how many frames there are. It renders
// samples only where the sound is so loud that peaks might have to be held
// down, and keeps none. Samples then renders any range of frames: the same bits
// for every range, number of processors and order.
//
//	score notes ─► parts ─► dry bus ─► room ─► gain ─► dither, round ─► frames
//	                 └────► estimate ─► gain, Report
package synth

// Version names the sound: it changes whenever a sample of any score does.
const Version = "17"
