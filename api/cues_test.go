package api_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// cuesIn reads "FRAME LABEL" of each cue point behind so many bytes, with a
// reader that knows nothing of the writer. ref: the "cue " and "labl" chunks.
func cuesIn(t *testing.T, file []byte) (out []string) {
	t.Helper()
	le := binary.LittleEndian
	require.EqualValues(t, len(file)-8, le.Uint32(file[4:]), "the size of the whole")
	labels := map[uint32]string{}
	var order []uint32
	frames := map[uint32]uint32{}
	for at := 12; at < len(file); {
		id, n := string(file[at:at+4]), int(le.Uint32(file[at+4:]))
		body := file[at+8 : at+8+n]
		switch id {
		case "cue ":
			for i := 4; i < len(body); i += 24 {
				order = append(order, le.Uint32(body[i:]))
				frames[le.Uint32(body[i:])] = le.Uint32(body[i+20:])
			}
		case "LIST":
			for i := 4; i < len(body); {
				m := int(le.Uint32(body[i+4:]))
				labels[le.Uint32(body[i+8:])] = string(bytes.TrimRight(body[i+12:i+8+m], "\x00"))
				i += 8 + m + m%2
			}
		}
		at += 8 + n + n%2
	}
	for _, number := range order {
		out = append(out, fmt.Sprintf("%d %s", frames[number], labels[number]))
	}
	return out
}

func fileOf(t *testing.T, query string) []byte {
	t.Helper()
	sound := soundOf(t, query)
	var file bytes.Buffer
	require.NoError(t, sound.WriteTo(t.Context(), &file))
	require.EqualValues(t, sound.Size(), file.Len())
	return file.Bytes()
}

// One cue where each line begins, each time it is played; at 60 beats a minute
// and 22,050 frames a second, after the 15 ms that a reed needs.
func TestCues(t *testing.T) {
	const second = 22050
	zero := int(math.Round(0.015 * second))
	at := func(seconds int, label string) string { return fmt.Sprintf("%d %s", zero+seconds*second, label) }
	for page, want := range map[string][]string{
		"4+-4%0A5+-5":                           {at(0, "L1"), at(2, "L2")},
		"[Chorus]%0A4+-4%0Awords%0A5+r%0A[B]+6": {at(0, "Chorus, L2"), at(2, "L4"), at(4, "B, L5")},
		"4+-4+x3%0A5":                           {at(0, "L1"), at(6, "L2")},
		"|:+4+-4%0A5+-5+:|":                     {at(0, "L1"), at(2, "L2"), at(4, "L1"), at(6, "L2")},
		"r+4%0A5":                               {"0 L1", fmt.Sprint(2*second, " L2")}, // a rest needs no time before it
		"4+-4%0A5+-5&from=1&to=3&repeat=2":      {at(0, "L1"), at(1, "L2"), at(2, "L1"), at(3, "L2")},
		"4+-4%0A5+-5&count_in=1&metre=4/4":      {at(4, "L1"), at(6, "L2")},
		"Verse+2:+4+-4%0A%23+comment%0A5+-5":    {at(0, "Verse 2, L1"), at(2, "L3")},
	} {
		file := fileOf(t, "tab="+page+"&tempo=60&rate=22050&cues=true")
		require.Equal(t, want, cuesIn(t, file), page)

		plain := fileOf(t, "tab="+page+"&tempo=60&rate=22050")
		require.Nil(t, cuesIn(t, plain))
		require.True(t, bytes.Equal(plain[8:], file[8:len(plain)]), "the same sound, in the same place")
		require.Zero(t, len(file)%2)
	}
}

// Files with and without cues are not the same answer.
func TestCuesAreInTheETag(t *testing.T) {
	a, err := api.FromQuery("tab=4")
	require.NoError(t, err)
	b, err := api.FromQuery("tab=4&cues=true")
	require.NoError(t, err)
	require.NotEqual(t, a.Canonical(), b.Canonical())
}
