package dsp

// Hash mixes two numbers into 64 bits that look random: noise that can be
// asked for at any frame, without a state that runs along.
// ref: the finalizer of SplitMix64, Steele, Lea & Flood, "Fast splittable
// pseudorandom number generators", OOPSLA 2014 (variant 13 of D. Stafford).
func Hash(a, b uint64) uint64 {
	z := a*0xD1342543DE82EF95 + b*0x9E3779B97F4A7C15 + 0x9E3779B97F4A7C15
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// Triangle is noise of triangular density between -1 and 1 made of one hash:
// the sum of two independent even ones.
func Triangle(hash uint64) float64 {
	a, b := int64(hash>>32), int64(hash&0xFFFFFFFF)
	return float64(float64(a-b) * (1.0 / Turn))
}
