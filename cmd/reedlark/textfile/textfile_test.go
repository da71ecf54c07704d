package textfile_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/cmd/reedlark/textfile"
)

// The bytes are from the tables of Unicode (UTF-8, UTF-16) and of Windows-1252
// as the WHATWG Encoding Standard prints it.
func TestDecode(t *testing.T) {
	for _, c := range []struct{ file, text, name string }{
		{"", "", "UTF-8"},
		{"4 -4\r\n", "4 -4\r\n", "UTF-8"},
		{"\xef\xbb\xbf4\u2191", "\ufeff4\u2191", "UTF-8"},
		{"\xff\xfe4\x00\x91\x21\n\x00", "4\u2191\n", "UTF-16 LE"},
		{"\xfe\xff\x004\x21\x91\x00\n", "4\u2191\n", "UTF-16 BE"},
		{"caf\xe9 \x964 -3\x92\r", "caf\u00e9 \u20134 -3\u2019\r", "Windows-1252"},
	} {
		text, e, err := textfile.Decode([]byte(c.file))
		require.NoError(t, err, "%q", c.file)
		assert.Equal(t, c.text, text)
		assert.Equal(t, c.name, e.Name)
		back, err := e.Encode(text)
		require.NoError(t, err)
		assert.Equal(t, c.file, string(back))
	}
}

func TestDecodeRefuses(t *testing.T) {
	for file, says := range map[string]string{
		"\x00\xff":              "binary",
		"\xff\xfe4":             "no whole text in UTF-16 LE", // half a character
		"\xff\xfe\x00\xd84\x00": "no whole text in UTF-16 LE", // a lone surrogate
		"4 \x81":                "a byte is no character of UTF-8",
		"caf\u00e9 \xe9":        "a byte is no character of UTF-8",
	} {
		_, _, err := textfile.Decode([]byte(file))
		assert.ErrorContains(t, err, says, "%q", file)
	}
	_, _, err := textfile.Decode([]byte("caf\u00e9 \xe9\xe9"))
	var bad *textfile.BadByte
	require.ErrorAs(t, err, &bad)
	assert.Equal(t, 6, bad.Offset)
	_, e, err := textfile.Decode([]byte("\xe9"))
	require.NoError(t, err)
	_, err = e.Encode("4\u2191")
	assert.ErrorContains(t, err, "Windows-1252 lacks some of the characters")
}

// ref: POSIX.1-2024, diff, "Diff -u Output Format"; the last line of each case
// that has no line end is marked as GNU diff does.
func TestDiff(t *testing.T) {
	const ten = "1\n2\n3\n4\n5\n6\n7\n8\n9\n10\n"
	swap := func(text string, pairs ...string) string { return strings.NewReplacer(pairs...).Replace(text) }
	for name, c := range map[string]struct{ before, after, want string }{
		"nothing":         {ten, ten, ""},
		"the first":       {ten, swap(ten, "1\n2", "a\n2"), "@@ -1,4 +1,4 @@\n-1\n+a\n 2\n 3\n 4\n"},
		"the last":        {ten, swap(ten, "10", "j"), "@@ -7,4 +7,4 @@\n 7\n 8\n 9\n-10\n+j\n"},
		"a run":           {"1\n2\n3\n", "a\nb\n3\n", "@@ -1,3 +1,3 @@\n-1\n-2\n+a\n+b\n 3\n"},
		"two that touch":  {ten, swap(ten, "2", "b", "9", "i"), "@@ -1,10 +1,10 @@\n 1\n-2\n+b\n 3\n 4\n 5\n 6\n 7\n 8\n-9\n+i\n 10\n"},
		"two apart":       {ten, swap(ten, "1\n", "a\n", "9", "i"), "@@ -1,4 +1,4 @@\n-1\n+a\n 2\n 3\n 4\n@@ -6,5 +6,5 @@\n 6\n 7\n 8\n-9\n+i\n 10\n"},
		"one comes":       {"1\n2\n3\n", "1\n2\nb\n3\n", "@@ -1,3 +1,4 @@\n 1\n 2\n+b\n 3\n"},
		"one goes":        {ten, swap(ten, "5\n", ""), "@@ -2,7 +2,6 @@\n 2\n 3\n 4\n-5\n 6\n 7\n 8\n"},
		"the only one":    {"1\n", "", "@@ -1,1 +0,0 @@\n-1\n"},
		"into nothing":    {"", "1\n", "@@ -0,0 +1,1 @@\n+1\n"},
		"one moves up":    {"1\n2\n3\nx\n", "x\n1\n2\n3\nend\n", "@@ -1,4 +1,5 @@\n+x\n 1\n 2\n 3\n-x\n+end\n"},
		"no line end":     {"1\n2", "1\nb", "@@ -1,2 +1,2 @@\n 1\n-2\n\\ No newline at end of file\n+b\n\\ No newline at end of file\n"},
		"no end, context": {"1\n2", "a\n2", "@@ -1,2 +1,2 @@\n-1\n+a\n 2\n\\ No newline at end of file\n"},
	} {
		want := c.want
		if want != "" {
			want = "--- page.txt\n+++ page.txt\n" + want
		}
		assert.Equal(t, want, textfile.Diff("page.txt", c.before, c.after), name)
	}
}

func FuzzDecode(f *testing.F) {
	for _, seed := range []string{"4 -4\r\n", "\xef\xbb\xbf4", "\xff\xfe4\x00", "\xfe\xff\x004", "\xff\xfe\x00\xd8", "caf\xe9", "\x00\xff"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		text, e, err := textfile.Decode(file)
		if err != nil {
			return
		}
		back, err := e.Encode(text)
		require.NoError(t, err)
		assert.Equal(t, file, append([]byte{}, back...))
	})
}
