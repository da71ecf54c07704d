// Package dsp holds the small arithmetic of sound that must give the same
// bits on every machine.
//
// The standard library's math.Sin, math.Exp and math.Log are written in
// assembly on some processors, and a compiler may fuse a product and a sum
// into one instruction that rounds once instead of twice. Either is enough to
// make one sample of a tune differ between two machines. So the sine, the
// power of two and the logarithm are written out here, and every product that
// is added to something is wrapped in a conversion, which forbids the fusing
// (Go language specification, "Floating-point operators").
//
// Angles are in turns: 1 is once round. A phase is a uint32 whose whole range
// is one turn, so that it wraps by itself and sums without error.
package dsp
