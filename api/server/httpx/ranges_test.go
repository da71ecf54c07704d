package httpx

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// ref: RFC 9110, section 14.1.2, the examples for a representation of 10,000
// bytes.
func TestRangesOfRFC9110(t *testing.T) {
	for field, want := range map[string][]span{
		"bytes=0-499":                    {{0, 500}},
		"bytes=500-999":                  {{500, 500}},
		"bytes=-500":                     {{9500, 500}},
		"bytes=9500-":                    {{9500, 500}},
		"bytes=0-0,-1":                   {{0, 1}, {9999, 1}},
		"bytes= 0-0, -2":                 {{0, 1}, {9998, 2}},
		"bytes= 0-999, 4500-5499, -1000": {{0, 1000}, {4500, 1000}, {9000, 1000}},
		"bytes=500-600,601-999":          {{500, 101}, {601, 399}},
		"bytes=500-700,601-999":          {{500, 201}, {601, 399}},
	} {
		got, ok := byteRanges(field, 10_000)
		require.True(t, ok, field)
		require.Equal(t, want, got, field)
	}
}
