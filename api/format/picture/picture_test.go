package picture_test

import (
	"context"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/picture"
	"reedlark/tab"
	"reedlark/tab/perform"
	"reedlark/tab/score"
)

var update = flag.Bool("update", false, "write the goldens anew")

// played reads a page and plays it; the page has to be free of errors.
func played(t testing.TB, page string, set perform.Settings) (*score.Score, picture.Options) {
	t.Helper()
	doc := tab.Parse(page, tab.Options{})
	s, problems := perform.Perform(doc, set)
	require.NotNil(t, s, "%v %v", doc.Problems, problems)
	return s, picture.Options{Bars: doc.Unfold().Bars, Rounds: max(set.Repeat, 1), Tail: perform.Tail}
}

func drawn(t testing.TB, page string) string {
	s, o := played(t, page, perform.Settings{})
	return svg(t, s, o)
}

func svg(t testing.TB, s *score.Score, o picture.Options) string {
	t.Helper()
	out, err := picture.Draw(t.Context(), s, o)
	require.NoError(t, err)
	return string(out)
}

func TestDrawingStopsWithItsContext(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	s, o := played(t, "4 -4 5\n", perform.Settings{})
	_, err := picture.Draw(ctx, s, o)
	require.ErrorIs(t, err, context.Canceled)
	_, err = picture.Card(ctx, s, o)
	require.ErrorIs(t, err, context.Canceled)
}

func TestGoldens(t *testing.T) {
	pages, err := filepath.Glob("testdata/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, pages)
	for _, name := range pages {
		t.Run(filepath.Base(name), func(t *testing.T) {
			page, err := os.ReadFile(name)
			require.NoError(t, err)
			golden := strings.TrimSuffix(name, ".txt") + ".svg"
			got := drawn(t, string(page))
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), got)
		})
	}
}

// elements reads a picture as XML and calls do with each start tag.
func elements(t testing.TB, svg string, do func(xml.StartElement)) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
		if e, is := token.(xml.StartElement); is {
			do(e)
		}
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// allowed are the elements of a picture; all of them are inert.
// ref: SVG 1.1, chapters 5, 9, 10.
var allowed = map[string]bool{
	"svg": true, "g": true, "title": true, "desc": true, "rect": true, "line": true, "path": true, "text": true,
}

func inert(t testing.TB, svg string) {
	t.Helper()
	elements(t, svg, func(e xml.StartElement) {
		assert.True(t, allowed[e.Name.Local], "element %s", e.Name.Local)
		for _, a := range e.Attr {
			assert.NotEqual(t, "style", a.Name.Local)
			assert.False(t, strings.HasPrefix(a.Name.Local, "on"), "attribute %s", a.Name.Local)
			assert.NotEqual(t, "href", a.Name.Local)
		}
	})
}

func TestTitleIsTextAndNothingElse(t *testing.T) {
	for _, title := range []string{
		`<script>alert(1)</script>`, `"><image href=x onerror=alert(1)>`, `]]></title>&amp; & 'x'`, "a\uFFFEb", strings.Repeat("é", 200),
	} {
		svg := drawn(t, "Title: "+title+"\n4 -4 5\n")
		inert(t, svg)
		var whole struct {
			Title string `xml:"title"`
		}
		require.NoError(t, xml.Unmarshal([]byte(svg), &whole))
		assert.Equal(t, strings.ReplaceAll(title, "\uFFFE", "\uFFFD"), whole.Title)
	}
}

// The accessible name and description of a graphic. ref: SVG Accessibility API
// Mappings, section 8; WAI-ARIA 1.2, role img.
func TestSaysWhatItShows(t *testing.T) {
	svg := drawn(t, "Title: Two breaths\nTempo: 80\nMetre: 3/4\n| 4 -3// 45 | 6* -10* -2~ |\n")
	assert.Contains(t, svg, `role="img" aria-labelledby="picture-title picture-desc"`)
	assert.Contains(t, svg, `<title id="picture-title">Two breaths</title>`)
	assert.Contains(t, svg, `<desc id="picture-desc">Harp in C, 80 beats a minute, 3/4. 4 blow, 3 draw bent by 2, `+
		`4 and 5 blow, 6 overblow, 10 overdraw, 2 draw shaken.</desc>`)
}

// Every note of the score is drawn once, with its place in the page.
func TestEveryNoteIsThere(t *testing.T) {
	for _, set := range []perform.Settings{{}, {Repeat: 3}, {CountIn: 2}, {From: &perform.Bound{Beat: 2}}, {Swing: 0.66}} {
		s, o := played(t, "Metre: 4/4\n|: 4 -4 {5 -5} 6 | -3// -> -3 (4)5 r :|\n{4 5 6 7 8 9 10 9} 4---\n", set)
		var seen []int
		elements(t, svg(t, s, o), func(e xml.StartElement) {
			if index := attribute(e, "data-index"); index != "" {
				i, err := strconv.Atoi(index)
				require.NoError(t, err)
				seen = append(seen, i)
				assert.Equal(t, strconv.Itoa(s.Notes[i].Line), attribute(e, "data-line"))
				assert.Equal(t, strconv.Itoa(s.Notes[i].Column), attribute(e, "data-column"))
			}
		})
		want := make([]int, len(s.Notes))
		for i := range want {
			want[i] = i
		}
		assert.Equal(t, want, seen, "%+v", set)
	}
}

// At 60 beats a minute bar n of 4/4 starts 4(n−1) seconds after the first, on
// every round; a count-in of a bar moves all by four.
func TestBarsStandWhereTheyAreHeard(t *testing.T) {
	page := "Tempo: 60\nMetre: 4/4\n4 4 4 4 | 5 5 5 5 | 6 6 6 6 |\n"
	for name, c := range map[string]struct {
		set   perform.Settings
		bars  []string
		start []float64
	}{
		"plain":    {perform.Settings{}, []string{"1", "2", "3"}, []float64{0, 4, 8}},
		"twice":    {perform.Settings{Repeat: 2}, []string{"1", "2", "3", "1", "2", "3"}, []float64{0, 4, 8, 12, 16, 20}},
		"a part":   {perform.Settings{From: &perform.Bound{Beat: 4}}, []string{"2", "3"}, []float64{0, 4}},
		"count-in": {perform.Settings{CountIn: 1}, []string{"1", "2", "3"}, []float64{4, 8, 12}},
		"off bar":  {perform.Settings{From: &perform.Bound{Beat: 2}}, []string{"2", "3"}, []float64{2, 6}},
	} {
		t.Run(name, func(t *testing.T) {
			s, o := played(t, page, c.set)
			var bars []string
			var start []float64
			elements(t, svg(t, s, o), func(e xml.StartElement) {
				if n := attribute(e, "data-bar"); n != "" {
					at, err := strconv.ParseFloat(attribute(e, "data-start"), 64)
					require.NoError(t, err)
					bars, start = append(bars, n), append(start, at-perform.Lead)
				}
			})
			assert.Equal(t, c.bars, bars)
			assert.InDeltaSlice(t, c.start, start, 0.001)
		})
	}
}

// A drawn note and a blown one differ in shape and in shade; no colour is used.
func TestBreathNeedsNoColour(t *testing.T) {
	blow, draw := drawn(t, "4--- 4---\n"), drawn(t, "-4--- -4---\n")
	assert.Equal(t, 2, strings.Count(blow, `<path class="blow"`))
	assert.Equal(t, 2, strings.Count(draw, `<path class="draw"`))
	assert.NotContains(t, blow, `<path class="draw"`)
	assert.NotContains(t, draw, `<path class="blow"`)
	elements(t, blow, func(e xml.StartElement) {
		for _, name := range []string{"fill", "stroke"} {
			switch ink := attribute(e, name); ink {
			case "", "none", "black", "white", "#bbb", "#767676":
			default:
				assert.Fail(t, "a colour", "%s", ink)
			}
		}
	})
}

func TestScoreWithoutNotes(t *testing.T) {
	rests, o := played(t, "r r r r\n4\n", perform.Settings{To: &perform.Bound{Beat: 4}})
	for _, drawn := range []string{
		svg(t, &score.Score{}, picture.Options{}), svg(t, rests, o),
	} {
		inert(t, drawn)
		assert.Positive(t, strings.Count(drawn, `class="row"`), "the grid is there")
		assert.NotContains(t, drawn, "data-index", "and empty")
	}
}

func BenchmarkDraw(b *testing.B) {
	s, o := played(b, strings.Repeat("4 -4 -3// {4 5}\n", 300), perform.Settings{})
	for b.Loop() {
		b.SetBytes(int64(len(svg(b, s, o))))
	}
}

// The symbols of a page's chords stand over where they begin, higher than the
// numbers of the bars, and in time with the notes.
func TestChordsStandOverTheirBars(t *testing.T) {
	svg := drawn(t, "Metre: 4/4\nchords: C | Am7/G F#m7b5\n4 4 5 5 | 6 6 -6 -6\n")
	var symbols []string
	at := map[string]float64{}
	next := ""
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.StartElement:
			next = ""
			for _, a := range e.Attr {
				if a.Name.Local == "class" && a.Value == "chord" {
					next = "chord"
				}
			}
			for _, a := range e.Attr {
				if next == "chord" && a.Name.Local == "x" {
					x, err := strconv.ParseFloat(a.Value, 64)
					require.NoError(t, err)
					at[next+strconv.Itoa(len(symbols))] = x
				}
			}
		case xml.CharData:
			if next == "chord" {
				symbols, next = append(symbols, string(e)), ""
			}
		}
	}
	assert.Equal(t, []string{"C", "Am7/G", "F#m7b5"}, symbols)
	assert.InDelta(t, at["chord1"]-at["chord0"], 2*(at["chord2"]-at["chord1"]), 0.1, "a bar, and half a bar")
	assert.NotContains(t, drawn(t, "4 5"), `class="chord"`)
}
