package dsp

// AddScaled adds to each of out the number of in beside it, times a gain; those of
// out that have none beside them stay.
func AddScaled(out, in []float32, gain float32) {
	// Four at a time, with one check of bounds for all.
	for ; len(out) >= 4 && len(in) >= 4; out, in = out[4:], in[4:] {
		a, b := (*[4]float32)(out), (*[4]float32)(in)
		a[0] += float32(gain * b[0])
		a[1] += float32(gain * b[1])
		a[2] += float32(gain * b[2])
		a[3] += float32(gain * b[3])
	}
	for i := range min(len(out), len(in)) {
		out[i] += float32(gain * in[i])
	}
}
