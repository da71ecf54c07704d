//go:build outside

package main

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The examples in other languages sign as the command does.
func TestExamplesSignAlike(t *testing.T) {
	t.Setenv("REEDLARK_KEYS", testKeys)
	const address = "/v1/audio?tab=4+%E2%86%915+-4&harp=A&tempo=90"
	for _, example := range [][]string{{"python3", "sign.py"}, {"node", "sign.mjs"}, {"sh", "sign.sh"}} {
		for _, expires := range []string{"", "3978871200"} {
			args, flags := []string{example[1], address}, []string{"sign", address}
			if expires != "" {
				args, flags = append(args, expires), append(flags, "--expires=2096-01-31T18:00:00Z")
			}
			cmd := exec.Command(example[0], args...)
			cmd.Dir = "examples/sign"
			out, err := cmd.Output()
			require.NoError(t, err)
			want := call(t, "", flags...)
			require.Equal(t, 0, want.code, want.err)
			require.Equal(t, want.out, string(out), strings.Join(example, " "))
		}
	}
}
