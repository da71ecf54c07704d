package flac

import "sync"

// renumbered is a block with another number. The library numbers blocks as they
// come, from 0, and takes no number; so the number is put into its place, and the
// two checksums that cover it are reckoned anew. The block's own number is under
// 128, in one byte. ref: RFC 9639, sections 9.1.5, 9.1.8 and 9.3.
func renumbered(block []byte, number int) []byte {
	const at = 4 // the number follows four bytes
	rest := 1    // of the header: its checksum
	switch block[2] >> 4 {
	case 6: // the length of the block in a byte; section 9.1.6
		rest++
	case 7: // in two
		rest += 2
	}
	out := append(make([]byte, 0, len(block)+3), block[:at]...)
	out = append(out, coded(number)...)
	out = append(out, block[at+1:at+rest]...)
	out = append(out, byte(checksum(out, headSum())))
	out = append(out, block[at+1+rest:len(block)-2]...)
	sum := checksum(out, blockSum())
	return append(out, byte(sum>>8), byte(sum))
}

// coded is a number in the way of UTF-8. ref: RFC 9639, section 9.1.5, table 18.
func coded(n int) []byte {
	more := func(shift int) byte { return 0x80 | byte(n>>shift)&0x3F }
	switch {
	case n < 1<<7:
		return []byte{byte(n)}
	case n < 1<<11:
		return []byte{0xC0 | byte(n>>6), more(0)}
	case n < 1<<16:
		return []byte{0xE0 | byte(n>>12), more(6), more(0)}
	}
	return []byte{0xF0 | byte(n>>18), more(12), more(6), more(0)}
}

// sums is a table of a checksum of a width of 8 or 16 bits.
type sums struct {
	width uint
	by    [256]uint16
}

// The checksums of a header, x^8 + x^2 + x + 1, and of a block, x^16 + x^15 + x^2
// + 1, both from 0. ref: RFC 9639, sections 9.1.8 and 9.3.
var (
	headSum  = sync.OnceValue(func() *sums { return newSums(8, 0x07) })
	blockSum = sync.OnceValue(func() *sums { return newSums(16, 0x8005) })
)

func newSums(width uint, polynomial uint16) *sums {
	s := &sums{width: width}
	top := uint16(1) << (width - 1)
	for i := range s.by {
		v := uint16(i) << (width - 8)
		for range 8 {
			carry := v & top
			v <<= 1
			if carry != 0 {
				v ^= polynomial
			}
		}
		s.by[i] = v & (top | (top - 1))
	}
	return s
}

func checksum(b []byte, s *sums) (sum uint16) {
	for _, c := range b {
		sum = sum<<8&(1<<s.width-1) ^ s.by[byte(sum>>(s.width-8))^c]
	}
	return sum
}
