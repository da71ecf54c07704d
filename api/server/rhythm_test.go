package server

import (
	"encoding/json"
	"net/http"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
)

func TestRhythm(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document)
	require.NoError(t, err)
	example, err := json.Marshal(doc.Components.RequestBodies["Rhythm"].Value.Content["application/json"].Examples["taps"].Value.Value)
	require.NoError(t, err)
	for name, c := range map[string]struct {
		call   call
		status int
		tab    string // of the answer
		wrong  string // the parameter at fault
	}{
		"the example":      {call{body: string(example)}, http.StatusOK, "4 -4- 5 6", ""},
		"taps that fall":   {call{body: `{"tab":"4 5","taps":[{"note":0,"at":1},{"note":1,"at":1}]}`}, http.StatusUnprocessableEntity, "", "taps[1]"},
		"no taps":          {call{body: `{"tab":"4 5"}`}, http.StatusBadRequest, "", "taps"},
		"a page at fault":  {call{body: `{"tab":"4 11","taps":[{"note":0,"at":1}]}`}, http.StatusUnprocessableEntity, "", ""},
		"a query":          {call{target: "/v1/rhythm?tempo=90", body: string(example)}, http.StatusBadRequest, "", ""},
		"no body":          {call{method: http.MethodGet}, http.StatusMethodNotAllowed, "", ""},
		"another media":    {call{body: string(example), header: map[string]string{"Content-Type": "text/plain"}}, http.StatusUnsupportedMediaType, "", ""},
		"nothing it makes": {call{body: string(example), header: map[string]string{"Accept": "image/png"}}, http.StatusNotAcceptable, "", ""},
	} {
		t.Run(name, func(t *testing.T) {
			if c.call.target == "" {
				c.call.target = "/v1/rhythm"
			}
			response := ask(t, c.call)
			require.Equal(t, c.status, response.StatusCode)
			var got struct{ Tab, Parameter string }
			require.NoError(t, json.Unmarshal([]byte(read(t, response)), &got))
			assert.Equal(t, c.tab, got.Tab)
			assert.Equal(t, c.wrong, got.Parameter)
		})
	}
}
