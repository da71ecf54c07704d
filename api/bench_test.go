package api_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// BenchmarkOpen opens a page of ten notes in three bars, and one of as many lines
// as make 240: what every call waits for before its first byte.
func BenchmarkOpen(b *testing.B) {
	const line = "4 -4 5 -5 | 6 -6- 7 | {4 -4} 5- r |\n"
	for _, lines := range []int{1, 24} {
		req := api.Defaults()
		req.Tab = "Metre: 4/4\n" + strings.Repeat(line, lines)
		b.Run(fmt.Sprintf("%d notes", 10*lines), func(b *testing.B) {
			door := api.NewDoor()
			b.ReportAllocs()
			for b.Loop() {
				_, err := door.Open(b.Context(), req)
				require.NoError(b, err)
			}
		})
	}
}
