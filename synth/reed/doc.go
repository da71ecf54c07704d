// Package reed sounds one reed of a harmonica.
//
// A reed is an additive tone: all the harmonics of one moving fundamental.
// Their sum over one turn is a Table, built once for a pitch and a colour and
// then only read, with a 32-bit phase and straight lines between its points,
// which is as good as the sum of the sines and a hundred times cheaper.
//
// A Table has two waves with the same phases, own and dark: an attack fades
// from the dark one to the own one, because the upper partials of a reed come
// late. A bend fades from the table of the free reed to the darker one of the
// bent pitch. Besides its waves a table knows what a loudness meter and a peak
// meter will say of it, so that the level of a tune is known before it sounds.
//
// What sounds between two frames is a Part: a Tone (one voice, over all the
// notes it is not broken by) or a Breath (the noise of the mouth). Parts hold
// no state. They are asked for frames from anywhere, and cut time at the same
// places whoever asks: at multiples of Segment frames and where notes begin and
// end. Between two cuts every control moves in a straight line.
package reed
