package api_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/require"

	"reedlark/api"
	"reedlark/openapi"
	"reedlark/tab/diag"
)

func document(t *testing.T) *openapi3.T {
	t.Helper()
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document)
	require.NoError(t, err)
	return doc
}

func TestContractListsEveryCode(t *testing.T) {
	var want []any
	for _, c := range diag.Codes {
		want = append(want, string(c))
	}
	require.Equal(t, want, document(t).Components.Schemas["Code"].Value.Enum)
}

func TestContractListsEveryParameter(t *testing.T) {
	doc := document(t)
	var query, body []string
	for _, p := range doc.Paths.Value("/v1/audio").Get.Parameters {
		if p.Value.In == "query" {
			query = append(query, p.Value.Name)
		}
	}
	for name := range doc.Components.Schemas["Request"].Value.Properties {
		body = append(body, name)
	}
	var want []string
	for _, p := range api.Parameters() {
		want = append(want, p.Name)
	}
	want = append(want, "z")
	ofTheAddress := []string{"v", "key_id", "expires", "signature"}
	require.Equal(t, append(slices.Clone(want), ofTheAddress...), query)
	require.ElementsMatch(t, want, body)
}

// The defaults of the document are those of the door, and it has them all.
func TestContractHasTheDefaults(t *testing.T) {
	query := document(t).Paths.Value("/v1/audio").Get.Parameters
	for _, p := range api.Parameters() {
		want := ""
		if written := query.GetByInAndName("query", p.Name).Schema.Value.Default; written != nil {
			want = fmt.Sprint(written)
		}
		require.Equal(t, want, p.Usual(), p.Name)
	}
}

// Both ends of every range of the document are taken by the door, and the next
// number outside is not.
func TestContractHasTheRanges(t *testing.T) {
	doc := document(t)
	ranges := 0
	for _, p := range doc.Paths.Value("/v1/audio").Get.Parameters {
		s := p.Value.Schema.Value
		if p.Value.In != "query" || s.Min == nil || s.Max == nil {
			continue
		}
		ranges++
		for value, ok := range map[float64]bool{*s.Min: true, *s.Max: true, *s.Min - 0.001: false, *s.Max + 0.001: false} {
			r := api.Defaults()
			err := r.Set(p.Value.Name, fmt.Sprint(value))
			require.Equal(t, ok, err == nil, "%s=%v", p.Value.Name, value)
		}
	}
	require.Equal(t, 8, ranges)
}

func TestContractHasTheWords(t *testing.T) {
	doc := document(t)
	for _, p := range doc.Paths.Value("/v1/audio").Get.Parameters {
		for _, word := range p.Value.Schema.Value.Enum {
			r := api.Defaults()
			require.NoError(t, r.Set(p.Value.Name, fmt.Sprint(word)), p.Value.Name)
		}
	}
	require.EqualValues(t, api.MaxTab, *doc.Components.Schemas["TabText"].Value.MaxLength)
	require.EqualValues(t, api.MaxLink, *doc.Components.Schemas["Link"].Value.MaxLength)
}
