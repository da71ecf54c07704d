package api_test

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"reedlark/api"
)

// pack makes a link of any text, as RFC 1951 and RFC 4648 have it.
func pack(t *testing.T, text string, tail ...byte) string {
	t.Helper()
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, flate.BestCompression)
	require.NoError(t, err)
	_, err = io.WriteString(w, text)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return base64.RawURLEncoding.EncodeToString(append(b.Bytes(), tail...))
}

func TestLinksComeBack(t *testing.T) {
	words := rapid.SampledFrom([]string{"4", "-4", "5", "{4 5}", "|", "\n", "-3//", "é", "\U0001F3B5", "\x07", `"`, `\`, "<"})
	rapid.Check(t, func(t *rapid.T) {
		r := api.Defaults()
		r.Tab = strings.Join(rapid.SliceOfN(words, 0, 40).Draw(t, "tab"), " ")
		r.Tempo = rapid.Float64Range(20, 400).Draw(t, "tempo")
		r.Position = rapid.IntRange(1, 12).Draw(t, "position")
		r.Click = rapid.Bool().Draw(t, "click")
		r.To = api.Edge{Line: rapid.IntRange(0, 9).Draw(t, "to")}
		z, err := r.Link()
		require.NoError(t, err)
		back, err := api.FromLink(z)
		require.NoError(t, err)
		require.Equal(t, r, back)
		back, err = api.FromQuery("z=" + z)
		require.NoError(t, err)
		require.Equal(t, r, back)
	})
}

func TestLinkCarriesALayout(t *testing.T) {
	r, err := api.FromJSON([]byte(`{"tab":"4 5","layout":{"blow":` + tenNotes + `,"draw":` + tenNotes + `}}`))
	require.NoError(t, err)
	z, err := r.Link()
	require.NoError(t, err)
	back, err := api.FromLink(z)
	require.NoError(t, err)
	require.Equal(t, r, back)
}

func TestBadLinks(t *testing.T) {
	good := pack(t, `{"tab":"4 5"}`)
	whole := []byte(`{"tab":"4 5"}`)
	refused(t, []bad{
		{"empty", "", api.Malformed, "z"},
		{"padded", base64.URLEncoding.EncodeToString(append([]byte{1}, whole...)), api.Malformed, "z"},
		{"the other base64", "+/" + good, api.Malformed, "z"},
		{"a line end inside", good[:5] + "\n" + good[5:], api.Malformed, "z"},
		{"no DEFLATE", base64.RawURLEncoding.EncodeToString(whole), api.Malformed, "z"},
		{"zlib around it", base64.RawURLEncoding.EncodeToString([]byte{0x78, 0x9c, 0xab, 0x56}), api.Malformed, "z"},
		{"cut short", good[:len(good)-4], api.Malformed, "z"},
		{"a byte after it", pack(t, `{"tab":"4 5"}`, 0), api.Malformed, "z"},
		{"a second object after it", pack(t, `{"tab":"4 5"}{}`), api.Malformed, ""},
		{"no object", pack(t, `["4 5"]`), api.Malformed, ""},
		{"a link inside", pack(t, `{"tab":"4 5","z":"`+good+`"}`), api.Malformed, "z"},
		{"nothing but a link inside", pack(t, `{"z":"`+good+`"}`), api.Malformed, "z"},
		{"no tab", pack(t, `{"tempo":90}`), api.Malformed, "tab"},
		{"unknown", pack(t, `{"tab":"4","speed":90}`), api.Malformed, "speed"},
		{"out of range", pack(t, `{"tab":"4","tempo":9}`), api.NotAllowed, "tempo"},
		{"too long", strings.Repeat("A", api.MaxLink+1), api.TooLarge, "z"},
		{"too large", pack(t, `{"tab":"4"`+strings.Repeat(" ", api.MaxInflated)+`}`), api.TooLarge, "z"},
	}, api.FromLink)
	refused(t, []bad{
		{"something beside it", "z=" + good + "&tempo=90", api.Malformed, "z"},
		{"twice", "z=" + good + "&z=" + good, api.Malformed, "z"},
	}, api.FromQuery)
}

func TestLinkAtItsLimit(t *testing.T) {
	inside := `{"tab":"4"` + strings.Repeat(" ", api.MaxInflated-len(`{"tab":"4"}`)) + `}`
	_, err := api.FromLink(pack(t, inside))
	require.NoError(t, err)
}

func TestLinkOfALongTabIsRefused(t *testing.T) {
	r := api.Defaults()
	seed := uint32(1)
	for range 20_000 { // digits that do not compress
		seed = seed*1664525 + 1013904223
		r.Tab += string(rune('1' + seed>>24%9))
	}
	_, err := r.Link()
	var call *api.CallError
	require.ErrorAs(t, err, &call)
	require.Equal(t, api.TooLarge, call.Kind)
}
