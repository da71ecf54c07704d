package tab_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/tab"
	"reedlark/tab/diag"
)

// A printing golden is a page, and below each further divider the same page in
// signs, letters and arrows.
func TestPrintGoldens(t *testing.T) {
	files, err := filepath.Glob("testdata/print/*.golden")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".golden"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			page, want, _ := strings.Cut(string(text), divider)
			d := tab.Parse(page, tab.Options{})
			var got []string
			for _, to := range conventions {
				got = append(got, d.Print(to))
				checkPrint(t, d, to)
			}
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(page+divider+strings.Join(got, divider)), 0o644))
				return
			}
			require.Equal(t, want, strings.Join(got, divider))
		})
	}
}

func TestCanonicalPagesComeBackAsTyped(t *testing.T) {
	for name, page := range map[string]string{
		"signs":   "Title: x\r\n\r\n4 -4  -45/ -3// 4*\t4~ | {4 -4}- r-- || (4)5 [6] 4 -> 6 ,\r\nla la\r\n|: 4 :| x3 6\r\n4- -5 x2",
		"letters": "# x\nB4 D4  D45/ D3// B4* B4~ |: {B4 D4}- (B4)B5 :|\n\nB4- B5 x2\n",
		"arrows":  "4↑ 4↓  45↓/ 3↓// 4↑* 4↑~\r4↑ - 5↓\u2028  \n",
	} {
		t.Run(name, func(t *testing.T) {
			d := tab.Parse(page, tab.Options{})
			require.Empty(t, d.Problems)
			assert.Equal(t, page, d.Print(tab.Auto))
			assert.Equal(t, page, d.Print(d.Convention))
		})
	}
}

// Rows of chords are in no convention: they come back byte for byte in all.
func TestChordsComeBackAsTyped(t *testing.T) {
	const chords = "chords:  |: C  F♯m7b5/A |\tN.C. :| % / /\r\n"
	const words = "C  Am  G7 N.C.\n"
	d := tab.Parse("Metre: 2/4\n"+chords+"|: 4 4 | 5 5 :| -6 6\n"+words+"4 4 | 5 5\n", tab.Options{})
	require.Empty(t, d.Problems)
	require.Equal(t, tab.ChordsLine, d.Lines[1].Kind)
	require.Equal(t, tab.TextLine, d.Lines[3].Kind, "symbols that nothing heads are words")
	for _, to := range conventions {
		assert.Contains(t, d.Print(to), "\n"+chords, to)
		assert.Contains(t, d.Print(to), "\n"+words, to)
		checkPrint(t, d, to)
	}
}

func TestNotesKeepTheirColumns(t *testing.T) {
	for name, c := range map[string]struct {
		page, want string
		to         tab.Convention
	}{
		"they fit":        {"B4   D4   B5\nOh,  when the\n", "4    -4   5\nOh,  when the\n", tab.Signs},
		"one blank after": {"4 -4 5\n", "B4 D4 B5\n", tab.Letters},
		"as typed":        {"4 5    6\n", "B4 B5    B6\n", tab.Letters},
		"over words":      {"4 5    6\nIn the hay\n", "B4 B5    B6\nIn the hay\n", tab.Letters},
		"over each word":  {"4 5    6\nA      hay\n", "B4 B5  B6\nA      hay\n", tab.Letters},
		"under chords":    {"C      G\n4 5    6\n", "C      G\nB4 B5  B6\n", tab.Letters},
		"no room":         {"4 5  6\nA ha y\n", "B4 B5  B6\nA ha y\n", tab.Letters},
		"tab characters":  {"4\t-4\t5\n", "4↑\t4↓\t5↑\n", tab.Arrows},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.want, tab.Parse(c.page, tab.Options{}).Print(c.to))
		})
	}
}

func TestLinesStayWhatTheyAre(t *testing.T) {
	for name, c := range map[string]struct {
		page, want string
		to         tab.Convention
	}{
		"chords that are holes": {"B7 D7\n4 -4 5\n", "text: B7 D7\nB4 D4 B5\n", tab.Letters},
		"forced text":           {"text: 4 -4\n5 -5\n", "text: 4 -4\nB5 D5\n", tab.Letters},
		"forced tab":            {"tab: B4 D4\n4 -4 5\n", "tab: 4 -4\n4 -4 5\n", tab.Signs},
	} {
		t.Run(name, func(t *testing.T) {
			d := tab.Parse(c.page, tab.Options{})
			assert.Equal(t, c.want, d.Print(c.to))
			checkPrint(t, d, c.to)
		})
	}
}

// A page with an error is printed all the same: its words stay, its notes are
// written in the new convention, and its lines stay lines of tab.
func TestErrorsStayAsTyped(t *testing.T) {
	d := tab.Parse("B4 wibble D5\n", tab.Options{})
	require.True(t, d.Problems.Has(diag.Error))
	assert.Equal(t, "4 wibble -5\n", d.Print(tab.Signs))

	d = tab.Parse("B4 wibble B5\n", tab.Options{})
	require.True(t, d.Problems.Has(diag.Error))
	assert.Equal(t, "tab: 4 wibble 5\n", d.Print(tab.Signs))
}

func TestForcedConventionIsPrinted(t *testing.T) {
	d := tab.Parse("4b 5b\n", tab.Options{Convention: tab.Signs})
	assert.Equal(t, "4/ 5/\n", d.Print(tab.Auto))
	assert.Equal(t, "B4/ B5/\n", d.Print(tab.Letters))
}

func TestATooLongPageIsPrintedAsTyped(t *testing.T) {
	page := strings.Repeat("4 ", 100)
	d := tab.Parse(page, tab.Options{Limits: tab.Limits{Bytes: 50}})
	assert.Equal(t, page, d.Print(tab.Letters))
	assert.Empty(t, d.Unfold().Events)
}
