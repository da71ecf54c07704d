package main

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inZip is what a zip file holds, without the folder around it.
func inZip(t *testing.T, file string) map[string]string {
	t.Helper()
	z, err := zip.NewReader(strings.NewReader(file), int64(len(file)))
	require.NoError(t, err)
	out := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		_, name, found := strings.Cut(f.Name, "/")
		require.True(t, found, f.Name)
		out[name] = string(text)
	}
	return out
}

const chorded = "Title: Spring \u6625?\nTempo: 120\nMetre: 4/4\nchords: C | G7\n4 -4 5 6 | 4 -4 5 6\n"

// Without settings: twelve harps at four tempos, with and without the chords.
func TestPractice(t *testing.T) {
	folder(t, map[string]string{"spring.txt": chorded})
	got := call(t, "", "practice", "spring.txt", "--rate=22050")
	require.Equal(t, 0, got.code, got.err)
	info, err := os.Stat("spring.zip")
	require.NoError(t, err)
	said, size := float64(0), float64(info.Size())/1e6
	_, err = fmt.Sscanf(got.err, "reedlark: spring.zip: 98 files, %f MB\n", &said)
	require.NoError(t, err, got.err)
	assert.InEpsilon(t, size, said, 0.01, "said before it begins")
	assert.Contains(t, got.err, "wrote spring.zip, 96 sounds")
	assert.Equal(t, []string{"spring.txt", "spring.zip"}, names(t, "."))
	files := inZip(t, text(t, "spring.zip"))
	require.Len(t, files, 96+2)
	assert.Equal(t, chorded, files["pages/Spring \u6625.txt"])
	page := files["index.html"]
	assert.Equal(t, 96, strings.Count(page, "<audio"))
	for name, args := range map[string]string{
		"C-60percent":              "--harp C --tempo 72",
		"F-sharp-75percent-chords": "--harp F# --tempo 90 --backing chords",
		"Bb-100percent-chords":     "--harp Bb --backing chords",
		"Ab-90percent":             "--harp Ab --tempo 108 --backing off",
	} {
		single := call(t, "", append(strings.Fields("render spring.txt -o - --rate=22050"), strings.Fields(args)...)...)
		require.Equal(t, 0, single.code, single.err)
		assert.True(t, single.out == files["sounds/Spring \u6625 "+name+".wav"], name)
	}
	for _, says := range []string{"<h1>Spring \u6625?</h1>", "Harp in F#", "60 %, 72 beats a minute", "harp alone", "with chords"} {
		assert.Contains(t, page, says)
	}
}

func TestPracticeChosen(t *testing.T) {
	folder(t, map[string]string{
		"week 1/a.txt": good, "week 1/b.txt": "Title: Tune\n" + good, "week 1/c/b.txt": "Title: tune\n" + good, "alone/vamp.txt": "Metre: 4/4\nchords: C | G7\n",
	})
	got := call(t, "", strings.Fields("practice - -o - --harp low-F --tempo 80 --backing off,drone --format flac --title Mine")...)
	require.Equal(t, 1, got.code, "an empty page")
	got = call(t, good, strings.Fields("practice - -o - --harp low-F --tempo 80 --backing off,drone --format flac --title Mine")...)
	require.Equal(t, 0, got.code, got.err)
	assert.Regexp(t, `^reedlark: the set: 4 files, at most 0\.\d MB\n$`, got.err)
	assert.Contains(t, call(t, "", strings.Fields("practice alone/vamp.txt --harp C --tempo 100%")...).err, "vamp.zip, 1 sound\n")
	files := inZip(t, got.out)
	assert.Len(t, files, 4)
	assert.True(t, strings.HasPrefix(files["sounds/tab.flac"], flacMark))
	assert.True(t, strings.HasPrefix(files["sounds/tab drone.flac"], flacMark))
	assert.Contains(t, files["index.html"], "<h1>Mine</h1>")

	got = call(t, "", "practice", "week 1", "-o", "set.zip", "--harp", "C,D", "--tempo", "100%", "--rate=22050")
	require.Equal(t, 0, got.code, got.err)
	files = inZip(t, text(t, "set.zip"))
	assert.Contains(t, files["index.html"], "<h1>week 1</h1>")
	for _, name := range []string{"a C", "a D", "Tune C", "Tune D", "tune 2 C", "tune 2 D"} {
		assert.Contains(t, files, "sounds/"+name+".wav")
	}

	got = call(t, "", "practice", "alone/vamp.txt", "-o", "vamp.zip", "--harp", "C", "--tempo", "100%")
	require.Equal(t, 0, got.code, got.err)
	assert.Contains(t, inZip(t, text(t, "vamp.zip")), "sounds/vamp.wav")
}

// A set is whole or not there.
func TestPracticeFails(t *testing.T) {
	folder(t, map[string]string{"in/good.txt": good, "in/bad.txt": bad, "slow.txt": "Tempo: 30\n" + good})
	for args, c := range map[string]struct {
		code int
		says string
	}{
		"in -o set.zip":                   {1, "in/bad.txt:1:6: error"},
		"in":                              {2, "name the zip file to write with -o"},
		"in/good.txt none.txt -o set.zip": {2, "none.txt: there is no such file"},
		"in/good.txt -o in":               {2, "in is a folder"},
		"in/good.txt -o in/good.txt":      {2, "overwrite the page"},
		"in/good.txt --backing brass":     {2, "off, drone, chords, band"},
		"in/good.txt --harp H":            {2, `"H"`},
		"slow.txt":                        {2, "60 % of 30 beats a minute is 18"},
		"in/good.txt -o nowhere/set.zip":  {3, "no such file or directory"},
	} {
		got := call(t, "", append([]string{"practice"}, strings.Fields(args)...)...)
		assert.Equal(t, c.code, got.code, args)
		assert.Contains(t, got.err, c.says, args)
		assert.Equal(t, []string{"in", "slow.txt"}, names(t, "."))
		assert.Equal(t, []string{"bad.txt", "good.txt"}, names(t, "in"))
	}
	for _, err := range []error{syscall.EPIPE, syscall.ENOSPC} {
		var said bytes.Buffer
		assert.Equal(t, 3, run(t.Context(), strings.Fields("practice in/good.txt -o -"), nil, &broken{100000, err}, &said))
		assert.Equal(t, 1, strings.Count(said.String(), err.Error()), said.String())
	}
}

// Ctrl-C is heard while pages are opened, not only once sounds are made.
func TestPracticeInterruptedEarly(t *testing.T) {
	folder(t, map[string]string{"in/a.txt": doubtful, "in/b.txt": doubtful})
	ctx, stop := context.WithCancel(t.Context())
	stop()
	var out, said bytes.Buffer
	assert.Equal(t, 3, run(ctx, strings.Fields("practice in -o set.zip"), nil, &out, &said))
	assert.Equal(t, "reedlark: set.zip: interrupted, not written\n", said.String())
}
