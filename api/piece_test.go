package api_test

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
	"reedlark/tab/diag"
)

func open(t *testing.T, query string) (*api.Piece, error) {
	t.Helper()
	req, err := api.FromQuery(query)
	require.NoError(t, err)
	return api.Open(t.Context(), req)
}

// Two notes of a few hundredths of a second, far apart, have peaks that leave no room
// for so much loudness.
const tooLoud = "tab={4+r+r+r}+r+r+r+r+r+r+r+{4+r+r+r}&tempo=400&loudness=-12&rate=22050"

func TestLoudnessThatCannotBeHadIsAWarning(t *testing.T) {
	piece, err := open(t, tooLoud)
	require.NoError(t, err)
	score, err := piece.Score(t.Context())
	require.NoError(t, err)
	require.Len(t, score.Diagnostics, 1)
	d := score.Diagnostics[0]
	require.Equal(t, diag.LoudnessMissed, d.Code)
	require.Equal(t, diag.Warning, d.Severity)
	require.Equal(t, []int{1, 1}, []int{d.Line, d.Column})
	require.NotEmpty(t, d.Hint)

	_, err = open(t, tooLoud+"&strict=true")
	var tab *api.TabError
	require.ErrorAs(t, err, &tab)
	require.Equal(t, score.Diagnostics, tab.Diagnostics)
}

func TestStrictTakesNotesButNoWarnings(t *testing.T) {
	_, err := open(t, "tab=4+-7/+5&strict=true") // draw 7 does not bend
	require.Equal(t, api.TabFailure, api.FailureOf(err))
	require.Contains(t, err.Error(), "line 1, column 3")
	_, err = open(t, "tab=4+5+6&strict=true")
	require.NoError(t, err)
}

func TestSecondsAreThoseOfTheFile(t *testing.T) {
	for _, query := range []string{"tab=4+5&tempo=93.7", "tab=4+5&tempo=93.7&rate=22050&depth=24", "tab=4+5&tempo=93.7&rate=44100&depth=24&channels=1"} {
		piece, err := open(t, query)
		require.NoError(t, err)
		score, err := piece.Score(t.Context())
		require.NoError(t, err)
		sound, err := piece.Sound(t.Context())
		require.NoError(t, err)
		req, err := api.FromQuery(query)
		require.NoError(t, err)
		data := sound.Size() - 44 // ref: RFC 2361 and the WAVE layout, a header of 44 bytes
		require.InDelta(t, float64(data)/float64(req.Rate*req.Channels*req.Depth/8), score.Seconds, 1e-9)
		require.Zero(t, data%2, "RIFF wants even chunks")
	}
}

func TestRequestWinsOverThePage(t *testing.T) {
	const page = "tab=Harp:+A%0ATempo:+90%0AMetre:+3/4%0ALayout:+country%0ATuning:+just%0ATitle:+Ford%0A4+5+6"
	for query, want := range map[string]openapi.Score{
		page: {Harp: openapi.ScoreHarp{Key: "A", Layout: "country", Tuning: "just", A4: 440}, Tempo: 90, SongKey: "A"},
		page + "&harp=low+F&tempo=100&layout=richter&tuning=equal&a4=442&position=2": {Harp: openapi.ScoreHarp{Key: "low F", Layout: "richter", Tuning: "equal", A4: 442}, Tempo: 100, SongKey: "C"},
	} {
		piece, err := open(t, query)
		require.NoError(t, err)
		score, err := piece.Score(t.Context())
		require.NoError(t, err)
		require.Equal(t, want.Harp, score.Harp)
		require.Equal(t, want.Tempo, score.Tempo)
		require.Equal(t, want.SongKey, score.SongKey)
		require.Equal(t, "3/4", *score.Metre)
		require.Equal(t, "Ford", score.Title)
		require.Equal(t, "Ford", piece.Title())
	}
}

func TestPartOfAPiece(t *testing.T) {
	beats := func(query string) (out []float64) {
		piece, err := open(t, query)
		require.NoError(t, err)
		score, err := piece.Score(t.Context())
		require.NoError(t, err)
		for _, n := range score.Notes {
			out = append(out, n.StartBeat)
		}
		return out
	}
	const page = "tab=4+5%0A%7B6+7+8%7D%0A-4+-5"
	require.Equal(t, []float64{0, 1, 2, 2.333333333, 2.666666667, 3, 4}, beats(page))
	require.Equal(t, []float64{2, 2.333333333, 2.666666667}, beats(page+"&from=L2&to=L2"))
	require.Equal(t, []float64{2.333333333, 2.666666667, 3, 4}, beats(page+"&from=2.333333333"), "a start_beat of the answer, given back")
	require.Equal(t, []float64{2.666666667, 3, 4}, beats(page+"&from=2.666666667"), "a start_beat of the answer, given back")
	require.Equal(t, []float64{0, 1, 2}, beats(page+"&to=2.333333333"))
	_, err := open(t, page+"&from=4&to=4")
	require.Equal(t, api.CallFailure, api.FailureOf(err), "the page is good")
	_, err = open(t, page+"+Q+&from=4&to=4")
	require.Equal(t, api.TabFailure, api.FailureOf(err))
}

// What a piece costs is known before it is rendered: reckoned by hand, at sixty
// beats a minute.
func TestWork(t *testing.T) {
	for _, c := range []struct {
		query  string
		voices int
		work   float64 // voice-seconds, give or take gaps between notes
	}{
		{"tab=4+-4+5+-5&tempo=60", 4, 4.25},
		{"tab=4+r+r+r&tempo=60", 1, 4.25},
		{"tab=45+-45+45+-45&tempo=60", 8, 8},
		{"tab=45+-45+45+-45&tempo=60&repeat=3", 24, 24},
		{"tab=45+-45+45+-45&tempo=60&rate=22050", 8, 8 * 22050. / 48000},
	} {
		req, err := api.FromQuery(c.query)
		require.NoError(t, err)
		p, err := api.Open(t.Context(), req)
		require.NoError(t, err)
		require.Equal(t, c.voices, p.Voices(), c.query)
		require.InEpsilon(t, c.work, p.Work(), 0.1, c.query)
	}
}

// Numbers carry no digits that only arithmetic left behind: a third is rounded, and
// what is a round number in decimals is one.
func TestNumbersAreRounded(t *testing.T) {
	piece, err := open(t, "tab=%7B4+-4+5%7D+-3//+->+-3+(5)6+45/&swing=0.6&tempo=97&a4=442&tuning=just")
	require.NoError(t, err)
	score, err := piece.Score(t.Context())
	require.NoError(t, err)
	text, err := api.JSON(score)
	require.NoError(t, err)
	require.NotRegexp(t, `\.\d{10}`, string(text))
	require.Contains(t, string(text), `"start_beat":0.333333333,`)
	require.InDelta(t, 1./3, score.Notes[1].StartBeat, 1e-9)
}

// A page of commas has thousands of the same to say: a thousand are said, and
// how many more there are.
func TestManyOfAKind(t *testing.T) {
	for errors, listed := range map[int]int{900: 900, 1000: 1000, 1001: 1001, 1002: 1001, 6000: 1001} {
		_, err := open(t, "tab="+strings.Repeat("4+5+Q%0A", errors)+"9+to+5%0A")
		require.ErrorContains(t, err, fmt.Sprintf("and %d more", errors-1), "all are counted")
		var tab *api.TabError
		require.ErrorAs(t, err, &tab)
		require.Len(t, tab.Diagnostics, listed+1, "%d", errors)
		require.Equal(t, diag.ReadAsWords, tab.Diagnostics[listed].Code, "another kind is said all the same")
		last := tab.Diagnostics[listed-1]
		require.Equal(t, diag.UnknownWord, last.Code)
		require.Equal(t, errors > 1001, strings.HasPrefix(last.Message, fmt.Sprintf("From here on there are %d more of this kind", errors-1000)), last.Message)
	}
}

func TestWarningsOfAKindAreOne(t *testing.T) {
	piece, err := open(t, "tempo=400&to=10&tab="+strings.Repeat("4,4+5%0A", 6000))
	require.NoError(t, err)
	list, err := piece.Diagnostics(t.Context())
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, diag.TwoReadings, list[0].Code)
	require.Equal(t, 6000, list[0].Count)
	require.Len(t, list[0].Places, diag.MostPlaces)
}

// Where a parameter and not the page is at fault, it is named.
func TestParameterAtFault(t *testing.T) {
	for query, want := range map[string]string{
		"tab=4+5&from=2&to=1": "to", "tab=4+5&to=0": "to", "tab=4+5&from=7": "from", "tab=4+5%0Awords&from=L2": "from",
		"tab=4" + strings.Repeat("-", 250) + "&tempo=20&repeat=32": "repeat",
		"tab=4+Q+5-&from=7": "", "tab=Q+4-": "", "tab=4-7/&strict=true": "",
	} {
		_, err := open(t, query)
		var tab *api.TabError
		require.ErrorAs(t, err, &tab, query)
		require.Equal(t, want, tab.Parameter, query)
		require.Equal(t, want == "", tab.Allowed == "", query)
	}
}

// What a player has hardly time for is in the answer of a page that plays, and
// refuses nothing.
func TestStaminaIsNoted(t *testing.T) {
	piece, err := open(t, "tab=-2-------------%0A%7B1+-9%7D&tempo=60&strict=true")
	require.NoError(t, err)
	score, err := piece.Score(t.Context())
	require.NoError(t, err)
	var said []string
	for _, d := range score.Diagnostics {
		require.Equal(t, diag.Note, d.Severity)
		said = append(said, fmt.Sprintf("%s %d:%d", d.Code, d.Line, d.Column))
	}
	require.Equal(t, []string{"long-breath 1:1"}, said, "eight holes in half a second are no leap")
	piece, err = open(t, "tab=%7B1+-9%7D&tempo=100")
	require.NoError(t, err)
	list, err := piece.Diagnostics(t.Context())
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, diag.WideLeap, list[0].Code)
	require.Equal(t, 4, list[0].Column)
}

// A piece takes no more memory than it says, or a store of pieces would overflow;
// nor a thirtieth of it.
func TestBytes(t *testing.T) {
	door := api.NewDoor()
	for name, page := range map[string]string{
		"notes": strings.Repeat("4 5 6 7 8 4 5 6\n", 300), "chords": strings.Repeat("12345678910 ", 300), "bends": strings.Repeat("-7/ ", 2000),
		"bars": "4 |" + strings.Repeat("|", 20000), "breaths": "4 " + strings.Repeat(", ", 10000), "remarks": "4 " + strings.Repeat("(a) ", 5000),
		"repeated rests":   "|: 4 " + strings.Repeat("r ", 350) + ":| x16",
		"lines of breaths": strings.Repeat("4"+strings.Repeat(",", 600)+"\n", 100),
		"rests":            "4 " + strings.Repeat("r ", 5000), "repeats": strings.Repeat("|: 4 :| x16\n", 200), "headers": strings.Repeat("Harp: zz\n", 3000) + "4 5",
		"sections": strings.Repeat("[A] 4\n", 2000), "lines": "4 5\n" + strings.Repeat("a\n", 20000), "words": "4 5\n" + strings.Repeat("some words that are no tab here\n", 2000),
	} {
		req := api.Defaults()
		req.Tab, req.Tempo = page, 400
		before := heap()
		piece, err := door.Open(t.Context(), req)
		require.NoError(t, err, name)
		require.NoError(t, piece.Prepare(t.Context()))
		took := heap() - before
		require.LessOrEqual(t, took, piece.Bytes()+(100<<10), name) // a table or two of a reed may be new
		require.Greater(t, 30*took, piece.Bytes(), name)
		runtime.KeepAlive(piece)
	}
}

// heap is what lives, bytes.
func heap() int {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC()
	runtime.ReadMemStats(&m)
	return int(m.HeapAlloc)
}
