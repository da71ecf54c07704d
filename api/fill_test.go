package api_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// bad is a call that must be refused, and how.
type bad struct {
	name      string
	text      string
	kind      api.CallKind
	parameter string
}

func refused(t *testing.T, cases []bad, read func(string) (api.Request, error)) {
	t.Helper()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := read(c.text)
			var call *api.CallError
			require.ErrorAs(t, err, &call)
			require.Equal(t, c.kind, call.Kind, call.Detail)
			require.Equal(t, c.parameter, call.Parameter, call.Detail)
			require.Equal(t, api.CallFailure, api.FailureOf(err))
			if c.kind == api.NotAllowed {
				require.NotEmpty(t, call.Allowed)
				require.Contains(t, call.Detail, c.parameter)
			}
		})
	}
}

var badQueries = []bad{
	{"nothing at all", "", api.Malformed, "tab"},
	{"no tab", "tempo=90", api.Malformed, "tab"},
	{"unknown", "tab=4&temp=90", api.Malformed, "temp"},
	{"in capitals", "tab=4&Tempo=90", api.Malformed, "Tempo"},
	{"twice", "tab=4&tempo=90&tempo=90", api.Malformed, "tempo"},
	{"twice, once escaped", "tab=4&%74ab=5", api.Malformed, "tab"},
	{"semicolon", "tab=4;tempo=90", api.Malformed, ""},
	{"broken percent code in a value", "tab=4&harp=%G1", api.Malformed, "harp"},
	{"percent at the end", "tab=4%", api.Malformed, "tab"},
	{"broken percent code in a name", "tab=4&%zz=1", api.Malformed, ""},
	{"tab is no UTF-8", "tab=%ff%fe", api.Malformed, "tab"},
	{"tab too long", "tab=" + strings.Repeat("4+", 40_000), api.TooLarge, "tab"},

	{"not a number", "tab=4&tempo=NaN", api.Malformed, "tempo"},
	{"infinity", "tab=4&tempo=Infinity", api.Malformed, "tempo"},
	{"inf", "tab=4&tempo=-inf", api.Malformed, "tempo"},
	{"hexadecimal", "tab=4&tempo=0x64", api.Malformed, "tempo"},
	{"hexadecimal exponent", "tab=4&tempo=0x1p6", api.Malformed, "tempo"},
	{"past any float", "tab=4&tempo=1e999", api.Malformed, "tempo"},
	{"underscore", "tab=4&tempo=1_00", api.Malformed, "tempo"},
	{"comma", "tab=4&room=0,5", api.Malformed, "room"},
	{"empty", "tab=4&tempo=", api.Malformed, "tempo"},
	{"blank before", "tab=4&tempo=+90", api.Malformed, "tempo"},
	{"plus sign", "tab=4&tempo=%2B90", api.Malformed, "tempo"},
	{"digits of another script", "tab=4&tempo=٩٠", api.Malformed, "tempo"},
	{"point alone", "tab=4&tempo=.", api.Malformed, "tempo"},
	{"word for a beat", "tab=4&from=start", api.Malformed, "from"},

	{"large", "tab=4&tempo=1e308", api.NotAllowed, "tempo"},
	{"too slow", "tab=4&tempo=19.99", api.NotAllowed, "tempo"},
	{"too fast", "tab=4&tempo=400.01", api.NotAllowed, "tempo"},
	{"negative", "tab=4&tempo=-90", api.NotAllowed, "tempo"},
	{"a4 too low", "tab=4&a4=414.9", api.NotAllowed, "a4"},
	{"a4 too high", "tab=4&a4=467", api.NotAllowed, "a4"},
	{"swing", "tab=4&swing=0.8", api.NotAllowed, "swing"},
	{"room", "tab=4&room=1.1", api.NotAllowed, "room"},
	{"loudness too high", "tab=4&loudness=-11", api.NotAllowed, "loudness"},
	{"loudness too low", "tab=4&loudness=-31", api.NotAllowed, "loudness"},
	{"repeat 0", "tab=4&repeat=0", api.NotAllowed, "repeat"},
	{"repeat 33", "tab=4&repeat=33", api.NotAllowed, "repeat"},
	{"half a repeat", "tab=4&repeat=1.5", api.NotAllowed, "repeat"},
	{"count_in", "tab=4&count_in=5", api.NotAllowed, "count_in"},
	{"position 0", "tab=4&position=0", api.NotAllowed, "position"},
	{"position 13", "tab=4&position=13", api.NotAllowed, "position"},
	{"rate", "tab=4&rate=96000", api.NotAllowed, "rate"},
	{"depth", "tab=4&depth=32", api.NotAllowed, "depth"},
	{"channels", "tab=4&channels=0", api.NotAllowed, "channels"},
	{"harp", "tab=4&harp=H", api.NotAllowed, "harp"},
	{"register alone", "tab=4&harp=low", api.NotAllowed, "harp"},
	{"no harp", "tab=4&harp=", api.NotAllowed, "harp"},
	{"layout", "tab=4&layout=Richter", api.NotAllowed, "layout"},
	{"layout of one's own in a query", `tab=4&layout={"blow":[],"draw":[]}`, api.NotAllowed, "layout"},
	{"tuning", "tab=4&tuning=well", api.NotAllowed, "tuning"},
	{"metre", "tab=4&metre=3/5", api.NotAllowed, "metre"},
	{"metre of nothing", "tab=4&metre=0/4", api.NotAllowed, "metre"},
	{"brackets", "tab=4&brackets=loud", api.NotAllowed, "brackets"},
	{"bends", "tab=4&bends=up", api.NotAllowed, "bends"},
	{"convention", "tab=4&convention=numbers", api.NotAllowed, "convention"},
	{"to_convention", "tab=4&to_convention=auto", api.NotAllowed, "to_convention"},
	{"click", "tab=4&click=1", api.NotAllowed, "click"},
	{"strict", "tab=4&strict=TRUE", api.NotAllowed, "strict"},
	{"format", "tab=4&format=ogg", api.NotAllowed, "format"},
	{"backing", "tab=4&backing=brass", api.NotAllowed, "backing"},
	{"mix", "tab=4&mix=mono", api.NotAllowed, "mix"},
	{"from a negative beat", "tab=4&from=-1", api.NotAllowed, "from"},
	{"to line 0", "tab=4&to=L0", api.NotAllowed, "to"},
	{"to half a line", "tab=4&to=L1.5", api.NotAllowed, "to"},
	{"to no line", "tab=4&to=L", api.NotAllowed, "to"},
	{"to a line far away", "tab=4&to=L9999999", api.NotAllowed, "to"},
}

func TestBadQueries(t *testing.T) { refused(t, badQueries, api.FromQuery) }

const tenNotes = `["C4","E4","G4","C5","E5","G5","C6","E6","G6","C7"]`

var badJSON = []bad{
	{"nothing", ``, api.Malformed, ""},
	{"array", `["4 5"]`, api.Malformed, ""},
	{"string", `"4 5"`, api.Malformed, ""},
	{"null", `null`, api.Malformed, ""},
	{"unclosed", `{"tab":"4 5"`, api.Malformed, ""},
	{"comma before the brace", `{"tab":"4 5",}`, api.Malformed, ""},
	{"single quotes", `{'tab':'4 5'}`, api.Malformed, ""},
	{"something after it", `{"tab":"4 5"} {}`, api.Malformed, ""},
	{"NaN", `{"tab":"4 5","tempo":NaN}`, api.Malformed, ""},
	{"leading zero", `{"tab":"4 5","tempo":090}`, api.Malformed, ""},
	{"hexadecimal", `{"tab":"4 5","tempo":0x64}`, api.Malformed, ""},
	{"invalid UTF-8", "{\"tab\":\"4 \xff 5\"}", api.Malformed, ""},
	{"half a surrogate pair", `{"tab":"4 \ud83d 5"}`, api.Malformed, ""},
	{"the other half", `{"tab":"4 \\\udE00 5"}`, api.Malformed, ""},
	{"no tab", `{}`, api.Malformed, "tab"},
	{"tab is null", `{"tab":null}`, api.Malformed, "tab"},
	{"unknown", `{"tab":"4 5","speed":90}`, api.Malformed, "speed"},
	{"unknown holding an object", `{"tab":"4 5","speed":{"a":1}}`, api.Malformed, "speed"},
	{"in capitals", `{"tab":"4 5","TEMPO":90}`, api.Malformed, "TEMPO"},
	{"twice", `{"tab":"4 5","tempo":90,"tempo":91}`, api.Malformed, "tempo"},
	{"twice, one of them null", `{"tab":"4 5","tempo":null,"tempo":91}`, api.Malformed, "tempo"},
	{"twice, once escaped", `{"tab":"4 5","t\u0061b":"4"}`, api.Malformed, "tab"},
	{"number as a string", `{"tab":"4 5","tempo":"90"}`, api.Malformed, "tempo"},
	{"string as a number", `{"tab":45}`, api.Malformed, "tab"},
	{"boolean as a string", `{"tab":"4 5","click":"true"}`, api.Malformed, "click"},
	{"boolean as a number", `{"tab":"4 5","strict":1}`, api.Malformed, "strict"},
	{"number as a boolean", `{"tab":"4 5","repeat":true}`, api.Malformed, "repeat"},
	{"word as a number", `{"tab":"4 5","harp":4}`, api.Malformed, "harp"},
	{"array for a number", `{"tab":"4 5","tempo":[90]}`, api.Malformed, "tempo"},
	{"object for a word", `{"tab":"4 5","tuning":{}}`, api.Malformed, "tuning"},
	{"beat as a string", `{"tab":"4 5","from":"3"}`, api.Malformed, "from"},
	{"past any float", `{"tab":"4 5","tempo":1e999}`, api.Malformed, "tempo"},
	{"deep", `{"tab":"4","layout":` + strings.Repeat("[", 100_000) + strings.Repeat("]", 100_000) + `}`, api.Malformed, ""},
	{"rather deep", `{"tab":"4","layout":` + strings.Repeat("[", 5000) + strings.Repeat("]", 5000) + `}`, api.Malformed, "layout"},
	{"layout as an array", `{"tab":"4","layout":[]}`, api.Malformed, "layout"},
	{"layout with a third breath", `{"tab":"4","layout":{"blow":` + tenNotes + `,"sigh":[]}}`, api.Malformed, "layout"},
	{"layout with two blows", `{"tab":"4","layout":{"blow":` + tenNotes + `,"blow":` + tenNotes + `}}`, api.Malformed, "layout"},
	{"layout of numbers", `{"tab":"4","layout":{"blow":[60]}}`, api.Malformed, "layout"},
	{"layout of a string", `{"tab":"4","layout":{"blow":"C4"}}`, api.Malformed, "layout"},
	{"too large", `{"tab":"` + strings.Repeat(" ", api.MaxBody) + `"}`, api.TooLarge, ""},
	{"tab too large", `{"tab":"` + strings.Repeat("-", api.MaxTab+1) + `"}`, api.TooLarge, "tab"},
	{"link beside a tab", `{"tab":"4 5","z":"q1YqSUxSslIyUTBVqgUA"}`, api.Malformed, "z"},
	{"link is a number", `{"z":5}`, api.Malformed, "z"},

	{"out of range", `{"tab":"4 5","tempo":401}`, api.NotAllowed, "tempo"},
	{"half", `{"tab":"4 5","position":2.5}`, api.NotAllowed, "position"},
	{"word for a line", `{"tab":"4 5","to":"end"}`, api.NotAllowed, "to"},
	{"layout of half a harp", `{"tab":"4","layout":{"blow":` + tenNotes + `}}`, api.NotAllowed, "layout"},
	{"layout of nothing", `{"tab":"4","layout":{}}`, api.NotAllowed, "layout"},
	{"layout of no notes", `{"tab":"4","layout":{"blow":` + tenNotes + `,"draw":` + strings.Replace(tenNotes, "C4", "do", 1) + `}}`, api.NotAllowed, "layout"},
}

func TestBadJSON(t *testing.T) {
	refused(t, badJSON, func(text string) (api.Request, error) { return api.FromJSON([]byte(text)) })
}

func TestGoodRequests(t *testing.T) {
	with := func(change func(*api.Request)) api.Request {
		r := api.Defaults()
		r.Tab = "4 5"
		change(&r)
		return r
	}
	cases := []struct {
		name, query, json string
		want              api.Request
	}{
		{"tab alone", "tab=4+5", `{"tab":"4 5"}`, with(func(*api.Request) {})},
		{"whole with a point", "tab=4%205&repeat=16.0", `{"tab":"4 5","repeat":16.0}`, with(func(r *api.Request) { r.Repeat = 16 })},
		{"exponent", "tab=4+5&tempo=1e2", `{"tab":"4 5","tempo":1E+2}`, with(func(r *api.Request) { r.Tempo = 100 })},
		{"edges of a range", "tab=4+5&swing=0.75&loudness=-30", `{"tab":"4 5","swing":0.75,"loudness":-30}`, with(func(r *api.Request) { r.Swing, r.Loudness = 0.75, -30 })},
		{"beat 0", "tab=4+5&from=0", `{"tab":"4 5","from":-0.0}`, with(func(r *api.Request) { r.From = api.Edge{IsBeat: true} })},
		{"lines", "tab=4+5&from=L1&to=L12", `{"tab":"4 5","from":"L1","to":"L12"}`, with(func(r *api.Request) { r.From.Line, r.To.Line = 1, 12 })},
		{"flags", "tab=4+5&click=true&strict=false", `{"tab":"4 5","click":true,"strict":false}`, with(func(r *api.Request) { r.Click = true })},
		{"empty pairs", "&tab=4+5&&", ` {"tab" : "4 5"} `, with(func(*api.Request) {})},
		{"null is absent", "tab=4+5", `{"tab":"4 5","tempo":null,"z":null,"layout":null}`, with(func(*api.Request) {})},
		{"one name for one harp", "tab=4+5&harp=LOW-c%E2%99%AF", `{"tab":"4 5","harp":"low Db"}`, with(func(r *api.Request) { require.NoError(t, r.Set("harp", "low Db")) })},
		{"escapes", "tab=4+5&metre=6%2F8", `{"tab":"\u0034 5","metre":"6\/8"}`, with(func(r *api.Request) { r.Metre = "6/8" })},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := api.FromQuery(c.query)
			require.NoError(t, err)
			require.Equal(t, c.want, got, "query")
			got, err = api.FromJSON([]byte(c.json))
			require.NoError(t, err)
			require.Equal(t, c.want, got, "JSON")
		})
	}
}

func TestEmptyTabIsNoCallError(t *testing.T) {
	for name, read := range map[string]func() (api.Request, error){
		"query": func() (api.Request, error) { return api.FromQuery("tab=") },
		"JSON":  func() (api.Request, error) { return api.FromJSON([]byte(`{"tab":""}`)) },
	} {
		t.Run(name, func(t *testing.T) {
			r, err := read()
			require.NoError(t, err)
			_, err = api.Open(t.Context(), r)
			var tab *api.TabError
			require.ErrorAs(t, err, &tab)
			require.NotEmpty(t, tab.Diagnostics)
			require.Equal(t, api.TabFailure, api.FailureOf(err))
		})
	}
}

func TestSurrogatePairsAreCharacters(t *testing.T) {
	r, err := api.FromJSON([]byte(`{"tab":"# \ud83c\udfb5 \\ud83d\n4 5"}`))
	require.NoError(t, err)
	require.Equal(t, "# 🎵 \\ud83d\n4 5", r.Tab)
}

func TestFlagsFillTheSameRequest(t *testing.T) {
	flags := map[string]string{"tab": "4 5", "harp": "bb", "tempo": "90", "count_in": "2", "click": "true", "from": "L1", "layout": "country"}
	r := api.Defaults()
	for name, text := range flags {
		require.NoError(t, r.Set(name, text))
	}
	same, err := api.FromQuery("tab=4+5&harp=Bb&tempo=90&count_in=2&click=true&from=L1&layout=country")
	require.NoError(t, err)
	require.Equal(t, same, r)
	require.Error(t, r.Set("speed", "90"))
}

func TestHarpsTakeThreeParameters(t *testing.T) {
	r, err := api.FromHarpQuery("layout=solo&tuning=just&a4=442")
	require.NoError(t, err)
	require.Equal(t, "solo", r.Layout.Name)
	refused(t, []bad{
		{"tab", "tab=4", api.Malformed, "tab"},
		{"harp", "harp=C", api.Malformed, "harp"},
		{"link", "z=q1YqSUxSslIyUTBVqgUA", api.Malformed, "z"},
		{"twice", "a4=442&a4=442", api.Malformed, "a4"},
		{"out of range", "a4=500", api.NotAllowed, "a4"},
		{"semicolon", "a4=440;", api.Malformed, ""},
	}, api.FromHarpQuery)
}

// Every parameter must be there to be filled, whoever fills it.
func TestEveryParameterHasWords(t *testing.T) {
	for _, p := range api.Parameters() {
		require.NotEmpty(t, p.Label, p.Name)
		require.NotEmpty(t, p.Help, p.Name)
		require.NotEmpty(t, p.Allowed, p.Name)
	}
}
