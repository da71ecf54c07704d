package synth

import (
	"os"
	"os/exec"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestNothingFused: no product and sum are fused into one instruction, which
// rounds once where amd64 rounds twice, in any package that makes samples. The
// instructions are those of the Arm Architecture Reference Manual for A-profile,
// "Floating-point multiply-add".
func TestNothingFused(t *testing.T) {
	fused := regexp.MustCompile(`\S+\.go:\d+\)\s+FN?M(ADD|SUB)[SD]`)
	for _, pkg := range []string{"dsp", "reed", "reed/spectrum", "room", "loud", "resample", "over", "band", "."} {
		path := "reedlark/synth"
		if pkg != "." {
			path += "/" + pkg
		}
		cmd := exec.Command("go", "build", "-gcflags="+path+"=-S", path)
		cmd.Env = append(os.Environ(), "GOARCH=arm64", "CGO_ENABLED=0")
		out, err := cmd.CombinedOutput()
		require.NoErrorf(t, err, "%s", out)
		require.Contains(t, string(out), "TEXT", "the listing is there")
		assert.Emptyf(t, fused.FindAllString(string(out), 5), "in %s", path)
	}
}
