package practice

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is no name on some system is from Microsoft, "Naming Files, Paths, and
// Namespaces"; # % & would mean something in an address.
func TestFileName(t *testing.T) {
	for title, want := range map[string]string{
		"Over the Ford":                       "Over the Ford",
		"  Gr\u00fc\u00dfe   aus\tK\u00f6ln ": "Gr\u00fc\u00dfe aus K\u00f6ln",
		"Cafe\u0301":                          "Caf\u00e9", // composed
		"\u6625\u306e\u5c0f\u5ddd":            "\u6625\u306e\u5c0f\u5ddd",
		`a/b\c:d*e?f"g<h>i|j`:                 "a-b-c-d-e-f-g-h-i-j",
		"100% #1 & more":                      "100- -1 - more",
		"../../etc":                           "etc",
		"end. ":                               "end",
		"":                                    "tune",
		"...":                                 "tune",
		"\x00\x1b[31m\u202e":                  "[31m",
		"CON":                                 "tune CON",
		"lpt1.old":                            "tune lpt1.old",
		"Console":                             "Console",
		"aux .old":                            "tune aux .old",
		"conin$":                              "tune conin$",
		strings.Repeat("\u00e9", 100):         strings.Repeat("\u00e9", 30),
		strings.Repeat("x", 59) + "\u00e9":    strings.Repeat("x", 59),
	} {
		assert.Equal(t, want, fileName(title), "%q", title)
	}
}

func says(text string) func(context.Context, io.Writer) error {
	return func(_ context.Context, w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}
}

func example() Set {
	sound := func(harp, mark, text string) Sound {
		return Sound{Harp: harp, Tempo: "70 %", Parts: "harp alone", Mark: mark, Ending: "wav", Seconds: 83.6, Bytes: int64(len(text)), Write: says(text)}
	}
	return Set{Title: "Week <1>", Lessons: []Lesson{
		{"gr\u00fc\u00dfe & <b>", "4 -4 <5>\r\n", []Sound{sound("C", "C", "one"), sound("C", "C slow", "two"), sound("Bb", "Bb", "three")}},
		{"Gr\u00fc\u00dfe - -b-", "6", []Sound{sound("C", "", "four")}},
	}}
}

// unpacked is what is in a zip file.
func unpacked(t *testing.T, file []byte) (names []string, texts map[string]string) {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	require.NoError(t, err)
	texts = map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		names = append(names, f.Name)
		texts[f.Name] = string(text)
		assert.False(t, f.NonUTF8)
	}
	return names, texts
}

func TestWrite(t *testing.T) {
	var out, again bytes.Buffer
	done := 0
	write := func(ctx context.Context, out io.Writer, done func()) {
		whole, err := example().Write(ctx, out, done)
		require.NoError(t, err)
		require.True(t, whole)
	}
	write(t.Context(), &out, func() { done++ })
	write(t.Context(), &again, func() {})
	files, size := example().Size()
	assert.Equal(t, 7, files)
	assert.Equal(t, int64(len("onetwothreefour")+len("4 -4 <5>\r\n6")), size)
	assert.Equal(t, out.Bytes(), again.Bytes(), "the same set is the same bytes")
	assert.Equal(t, 4, done)
	names, texts := unpacked(t, out.Bytes())
	const a, b = "gr\u00fc\u00dfe - -b", "Gr\u00fc\u00dfe - -b 2"
	for i, want := range []string{
		"pages/" + a + ".txt", "pages/" + b + ".txt",
		"sounds/" + a + " C.wav", "sounds/" + a + " C slow.wav", "sounds/" + a + " Bb.wav", "sounds/" + b + ".wav", "index.html",
	} {
		assert.Equal(t, "Week -1/"+want, strings.Replace(names[i], "Week -1-/", "Week -1/", 1))
	}
	page := texts[names[6]]
	assert.Equal(t, "4 -4 <5>\r\n", texts[names[0]])
	assert.Equal(t, "two", texts[names[3]])
	assert.Contains(t, page, "<title>Week &lt;1&gt;</title>")
	assert.Contains(t, page, "4 -4 &lt;5&gt;")
	assert.Contains(t, page, `src="sounds/gr%C3%BC%C3%9Fe%20-%20-b%20C%20slow.wav"`)
	assert.Contains(t, page, "Save (1:24)")
	assert.Equal(t, 4, strings.Count(page, "<audio controls preload=\"none\""))
	assert.Equal(t, 3, strings.Count(page, "<summary>"), "one for each harp of each page")
	assert.NotContains(t, page, "<script")
	assert.NotContains(t, page, "http", "nothing is fetched from anywhere")
	care := strings.Split(page, "Start with the volume low, above all on headphones.")
	require.Len(t, care, 3)
	assert.NotContains(t, care[0], "<audio", "said before the first player")
}

func TestWriteFails(t *testing.T) {
	failure := errors.New("no room")
	set := example()
	set.Lessons[0].Sounds[1].Write = func(context.Context, io.Writer) error { return failure }
	var out bytes.Buffer
	_, err := set.Write(t.Context(), &out, func() {})
	require.ErrorIs(t, err, failure)
	_, err = zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.Error(t, err, "what there is is no whole zip file")
	_, err = example().Write(t.Context(), writer(func([]byte) (int, error) { return 0, failure }), func() {})
	require.ErrorIs(t, err, failure)
}

type writer func([]byte) (int, error)

func (w writer) Write(p []byte) (int, error) { return w(p) }
