package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRhythm(t *testing.T) {
	const list = `[{"note":0,"at":1},{"note":1,"at":1.5},{"note":2,"at":2.5}]`
	folder(t, map[string]string{
		"page.txt":    "4 -4 5\nla la la\n",
		"twice.txt":   "4 -4 5 x2\n",
		"list.json":   list,
		"whole.json":  `{"tempo":60,"taps":` + list + `}`,
		"other.json":  `{"tab":"6 6 6","taps":` + list + `}`,
		"fall.json":   `[{"note":0,"at":1},{"note":1,"at":1},{"note":2,"at":2}]`,
		"no.json":     `taps`,
		"played.mid":  "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xf4MTrk\x00\x00\x00\x20\x00\x90\x3c\x40\x82\x00\x90\x3c\x00\x81\x74\x90\x3e\x40\x83\x60\x90\x3e\x00\x84\x08\x90\x40\x40\x83\x60\x90\x40\x00\x00\xff\x2f\x00",
		"windows.txt": "caf\xe9\n4 -4 5\n",
	})
	for name, c := range map[string]struct {
		args []string
		code int
		out  string
		err  string
	}{
		"a list":             {[]string{"page.txt", "--taps", "list.json", "--tempo", "120"}, 0, "4 -4- 5\nla la la\n", ""},
		"a request":          {[]string{"page.txt", "--taps", "whole.json"}, 0, "{r 4} -4 5\nla la la\n", ""},
		"flags win":          {[]string{"page.txt", "--taps", "whole.json", "--tempo", "120"}, 0, "4 -4- 5\nla la la\n", ""},
		"a MIDI file":        {[]string{"page.txt", "--taps", "played.mid", "--tempo", "120"}, 0, "4 -4 r 5\nla la la\n", ""},
		"of one pass":        {[]string{"twice.txt", "--taps", "played.mid", "--tempo", "120"}, 0, "4 -4 r 5 x2\n", ""},
		"another encoding":   {[]string{"windows.txt", "--taps", "list.json", "--tempo", "120"}, 0, "caf\xe9\n4 -4- 5\n", "Windows-1252"},
		"no tempo":           {[]string{"page.txt", "--taps", "list.json"}, 0, "4 -4- 5\nla la la\n", "tempo-guessed"},
		"for another page":   {[]string{"page.txt", "--taps", "other.json"}, 2, "", "another page"},
		"taps that fall":     {[]string{"page.txt", "--taps", "fall.json"}, 2, "", "tap 1, at 1 seconds"},
		"no taps":            {[]string{"page.txt", "--taps", "no.json"}, 2, "", "neither a list of taps"},
		"no file":            {[]string{"page.txt", "--taps", "gone.json"}, 2, "", "no such file"},
		"nothing said":       {[]string{"page.txt"}, 2, "", "--taps"},
		"over the page":      {[]string{"page.txt", "--taps", "list.json", "-o", "page.txt"}, 2, "", "overwrite"},
		"too few in a MIDI":  {[]string{"whole.json", "--taps", "played.mid"}, 1, "", ""},
		"a page that is not": {[]string{"gone.txt", "--taps", "list.json"}, 2, "", "no such file"},
	} {
		t.Run(name, func(t *testing.T) {
			got := call(t, "", append([]string{"rhythm"}, c.args...)...)
			assert.Equal(t, c.code, got.code, got.err)
			assert.Equal(t, c.out, got.out)
			assert.Contains(t, got.err, c.err)
		})
	}
}

func TestRhythmIntoAFile(t *testing.T) {
	folder(t, map[string]string{"page.txt": "4 5\n", "taps.json": `[{"note":0,"at":1},{"note":1,"at":2}]`})
	got := call(t, "", "rhythm", "page.txt", "--taps", "taps.json", "--tempo", "120", "-o", "new.txt")
	assert.Equal(t, 0, got.code, got.err)
	assert.Equal(t, "4- 5\n", text(t, "new.txt"))
}
