package httpx

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What is a device on Windows is so whatever follows its first dot. ref: Microsoft,
// "Naming Files, Paths, and Namespaces".
func TestFileNamesAreNoDevices(t *testing.T) {
	for title, want := range map[string]string{
		"Over the Ford": "Over the Ford.wav",
		"CON":           "_CON.wav",
		"con.old":       "_con.old.wav",
		"Aux .1":        "_Aux .1.wav",
		"lpt¹":          "_lpt¹.wav",
		"CONIN$":        "_CONIN$.wav",
		"Console":       "Console.wav",
		"a/b: ":         "a-b-.wav",
		" ..":           "tab.wav",
	} {
		assert.Equal(t, want, FileName(title, "tab", "wav"), title)
	}
}
