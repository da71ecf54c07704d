package flac

import (
	"math"
	"math/bits"

	"github.com/mewkiz/flac/frame"
)

// deinterleave takes frames apart into their channels.
func deinterleave(samples []int32, channels int) [][]int32 {
	out := make([][]int32, channels)
	for c := range out {
		out[c] = make([]int32, len(samples)/channels)
		for i := range out[c] {
			out[c][i] = samples[i*channels+c]
		}
	}
	return out
}

// middle is half the sum of two channels, rounded down, and their difference.
// ref: RFC 9639, section 4.2.
func middle(left, right []int32) (mid, side []int32) {
	mid, side = make([]int32, len(left)), make([]int32, len(left))
	for i := range left {
		mid[i], side[i] = (left[i]+right[i])>>1, left[i]-right[i]
	}
	return mid, side
}

// totalVariation is how much a channel moves from sample to sample.
func totalVariation(x []int32) (sum int64) {
	for i := 1; i < len(x); i++ {
		sum += size(x[i] - x[i-1])
	}
	return sum
}

func size(x int32) int64 {
	if x < 0 {
		return -int64(x)
	}
	return int64(x)
}

// maxOrder is the highest degree of a polynomial. ref: RFC 9639, section 9.2.5.
const maxOrder = 4

// predict finds how a block of one channel is written in the fewest bits, near
// enough: the order whose errors are smallest in sum, and for each part of the
// block the Rice parameter that fits their mean.
func predict(x []int32, depth int) frame.SubHeader {
	if constant(x) {
		return frame.SubHeader{Pred: frame.PredConstant}
	}
	order, errors := guess(x)
	rice, method, cost := partition(errors, len(x), order)
	if cost+order*depth >= len(x)*depth {
		return frame.SubHeader{Pred: frame.PredVerbatim}
	}
	return frame.SubHeader{Pred: frame.PredFixed, Order: order, ResidualCodingMethod: method, RiceSubframe: rice}
}

func constant(x []int32) bool {
	for _, s := range x {
		if s != x[0] {
			return false
		}
	}
	return true
}

// guess is the best order and its errors: the errors of each order are the
// steps between those of the order below.
func guess(x []int32) (order int, errors []int32) {
	errors, least := x, sum(x)
	for k, e := 1, x; k <= maxOrder && k < len(x); k++ {
		e = steps(e)
		if s := sum(e); s < least {
			order, errors, least = k, e, s
		}
	}
	return order, errors
}

func steps(x []int32) []int32 {
	out := make([]int32, len(x)-1)
	for i := range out {
		out[i] = x[i+1] - x[i]
	}
	return out
}

func sum(x []int32) (n int64) {
	for _, e := range x {
		n += size(e)
	}
	return n
}

// partOrder says that a block has 2^4 parts, each with a parameter of its own,
// where it can be divided so. by measurement: more gain nothing here.
const partOrder = 4

// Rice parameters have four bits, or five. All ones means something else.
// ref: RFC 9639, section 9.2.7.
const (
	maxRice1 = 14
	maxRice2 = 30
)

// partition finds the Rice parameters of a block of n samples, and about how
// many bits its errors take.
func partition(errors []int32, n, order int) (*frame.RiceSubframe, frame.ResidualCodingMethod, int) {
	r := &frame.RiceSubframe{PartOrder: partOrder}
	if n%(1<<partOrder) != 0 || n>>partOrder <= order {
		r.PartOrder = 0
	}
	method, cost := frame.ResidualCodingMethodRice1, 0
	part := n >> r.PartOrder
	for from := 0; from < len(errors); {
		to := min(from+part, len(errors))
		if from == 0 {
			to = part - order // the samples that are not guessed are missing from the first
		}
		k, bits := parameter(errors[from:to])
		if k > maxRice1 {
			method = frame.ResidualCodingMethodRice2
		}
		r.Partitions = append(r.Partitions, frame.RicePartition{Param: uint(k)})
		cost += bits
		from = to
	}
	return r, method, cost
}

// parameter is the Rice parameter for errors of this size: a code of k takes
// 1 + k bits and one for every 2^k of the folded error, which is twice as large.
func parameter(errors []int32) (k, cost int) {
	total := 2 * sum(errors)
	mean := uint64(math.Ceil(float64(total) / float64(max(1, len(errors)))))
	k = min(max(bits.Len64(mean)-1, 0), maxRice2)
	return k, len(errors)*(1+k) + int(total>>k)
}
