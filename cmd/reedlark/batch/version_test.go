package batch_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
)

func TestVersions(t *testing.T) {
	cases := []struct {
		harps, tempos []string
		names         []string
	}{
		{nil, nil, []string{""}},
		{[]string{"low f"}, []string{"90"}, []string{""}},
		{[]string{"C", "c♯"}, nil, []string{"-C", "-Db"}},
		{[]string{"Gb", " low-F "}, []string{"70%"}, []string{"-F-sharp", "-low-F"}},
		{nil, []string{"70%", "100 %", "62.5%", "90"}, []string{"-70percent", "-100percent", "-62.5percent", "-90bpm"}},
		{[]string{"D", "C#", "Db"}, []string{"50%", "50%"}, []string{"-D", "-Db"}},
		{[]string{"ALL", "C", "high G"}, nil, []string{"-C", "-Db", "-D", "-Eb", "-E", "-F", "-F-sharp", "-G", "-Ab", "-A", "-Bb", "-B", "-high-G"}},
	}
	for _, c := range cases {
		versions, err := batch.Versions(c.harps, c.tempos)
		require.NoError(t, err)
		assert.Equal(t, c.names, batch.Names(versions))
	}
}

func TestVersionsRefused(t *testing.T) {
	for _, c := range []struct{ harp, tempo, says string }{
		{"H", "90", `"H"`},
		{"", "90", "C, Db"},
		{"C", "", "20 to 400"},
		{"C", "401", "20 to 400"},
		{"C", "-70%", "as 70%"},
		{"C", "7e1%", "as 70%"},
		{"C", "0x10%", "as 70%"},
		{"C", "70%%", "as 70%"},
	} {
		_, err := batch.Versions([]string{c.harp}, []string{c.tempo})
		var call *api.CallError
		require.ErrorAs(t, err, &call, "%+v", c)
		assert.Contains(t, call.Detail+call.Allowed, c.says)
	}
}

func TestRequest(t *testing.T) {
	base := api.Defaults()
	base.Tempo = 110
	require.NoError(t, base.Set("harp", "G"))
	for _, c := range []struct {
		version batch.Version
		harp    string
		tempo   float64
	}{
		{batch.Version{}, "G", 110},
		{batch.Version{Harp: "low F"}, "low F", 110},
		{batch.Version{Tempo: batch.Tempo{Beats: 72}}, "G", 72},
		{batch.Version{Tempo: batch.Tempo{Percent: 70}}, "G", 63},
		{batch.Version{Tempo: batch.Tempo{Percent: 100}}, "G", 110},
	} {
		r, err := c.version.Request(base, 90)
		require.NoError(t, err)
		assert.Equal(t, c.harp, r.Harp.String())
		assert.InDelta(t, c.tempo, r.Tempo, 1e-12)
	}
	_, err := batch.Version{Tempo: batch.Tempo{Percent: 500}}.Request(base, 90)
	assert.ErrorContains(t, err, "500 % of 90 beats a minute is 450")
}

func TestFingerprint(t *testing.T) {
	a, b := api.Defaults(), api.Defaults()
	require.NoError(t, a.Set("harp", "C#"))
	require.NoError(t, b.Set("harp", "Db"))
	assert.Equal(t, batch.Fingerprint(a), batch.Fingerprint(b), "one harp, one sound")
	require.NoError(t, b.Set("tab", "4"))
	assert.NotEqual(t, batch.Fingerprint(a), batch.Fingerprint(b))
	require.NoError(t, a.Set("tab", "4"))
	require.NoError(t, a.Set("rate", "22050"))
	assert.NotEqual(t, batch.Fingerprint(a), batch.Fingerprint(b))
}
