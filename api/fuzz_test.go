package api_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"reedlark/api"
)

// same checks what must hold however a request came in: it is refused as a
// call, or it is a request that comes back from its own canonical form.
func same(t *testing.T, r api.Request, err error) {
	if err != nil {
		require.Equal(t, api.CallFailure, api.FailureOf(err), "%v", err)
		require.NotEmpty(t, err.Error())
		return
	}
	require.LessOrEqual(t, len(r.Tab), api.MaxTab)
	back, err := api.FromJSON([]byte(r.Canonical()))
	require.NoError(t, err, r.Canonical())
	require.Equal(t, r, back)
}

func FuzzQuery(f *testing.F) {
	for _, c := range badQueries {
		if len(c.text) < 1000 {
			f.Add(c.text)
		}
	}
	f.Add("tab=4+5&harp=low-f&from=L1&to=2.5&click=true&metre=6%2F8")
	f.Fuzz(func(t *testing.T, raw string) {
		r, err := api.FromQuery(raw)
		same(t, r, err)
	})
}

func FuzzJSON(f *testing.F) {
	for _, c := range badJSON {
		if len(c.text) < 1000 {
			f.Add([]byte(c.text))
		}
	}
	f.Add([]byte(`{"tab":"4 \ud83c\udfb5","layout":{"blow":` + tenNotes + `,"draw":` + tenNotes + `},"tempo":1e2}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		r, err := api.FromJSON(body)
		same(t, r, err)
	})
}

func FuzzLink(f *testing.F) {
	f.Add("q1YqSUxSslIyUTBVqgUA")
	f.Add("q1YqSUxSslIyUdA1UTBV0qoFAA")
	f.Fuzz(func(t *testing.T, z string) {
		r, err := api.FromLink(z)
		same(t, r, err)
	})
}
