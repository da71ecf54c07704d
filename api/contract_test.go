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

// What the document and the table say of a parameter is the same, whichever of
// the two somebody forgot.
func TestContractSaysWhatTheTableSays(t *testing.T) {
	doc := document(t)
	query := doc.Paths.Value("/v1/audio").Get.Parameters
	for _, p := range api.Parameters() {
		for where, s := range map[string]*openapi3.Schema{
			"query": query.GetByInAndName("query", p.Name).Schema.Value,
			"body":  doc.Components.Schemas["Request"].Value.Properties[p.Name].Value,
		} {
			for _, alternative := range s.OneOf { // a name of a layout, or the layout itself
				if len(alternative.Value.Enum) > 0 {
					s = alternative.Value
				}
			}
			var words, want []string
			for _, word := range s.Enum {
				words = append(words, fmt.Sprint(word))
			}
			for _, word := range p.Words {
				want = append(want, word.Value)
			}
			require.Equal(t, want, words, "the words of %s in the %s", p.Name, where)
			require.Equal(t, p.Default, asText(s.Default), "the default of %s in the %s", p.Name, where)
			if p.Min != p.Max {
				require.Equal(t, [2]float64{p.Min, p.Max}, [2]float64{*s.Min, *s.Max}, "the bounds of %s in the %s", p.Name, where)
			} else {
				require.Nil(t, s.Max, "%s has no bounds", p.Name)
			}
			require.Equal(t, p.Flag, s.Type.Is("boolean"), p.Name)
		}
	}
	require.EqualValues(t, api.MaxTab, *doc.Components.Schemas["TabText"].Value.MaxLength)
	require.EqualValues(t, api.MaxLink, *doc.Components.Schemas["Link"].Value.MaxLength)
}

func asText(value any) string {
	if value == nil {
		return ""
	}
	return fmt.Sprint(value)
}

// Both ends of every range are taken, the next number outside is not; so is
// every word, and every value that a form offers.
func TestTableAllowsWhatItSays(t *testing.T) {
	for _, p := range api.Parameters() {
		tried := map[string]bool{}
		for _, w := range slices.Concat(p.Words, p.Offered) {
			tried[w.Value] = true
		}
		if p.Min != p.Max {
			for value, ok := range map[float64]bool{p.Min: true, p.Max: true, p.Min - 0.001: false, p.Max + 0.001: false} {
				tried[fmt.Sprint(value)] = ok
			}
		}
		for value, ok := range tried {
			r := api.Defaults()
			require.Equal(t, ok, r.Set(p.Name, value) == nil, "%s=%v", p.Name, value)
		}
	}
}

// A request for a rhythm takes all parameters of a tab and three of its own.
func TestContractListsEveryParameterOfARhythm(t *testing.T) {
	schemas := document(t).Components.Schemas
	want := []string{"taps", "clicks", "whole"}
	for name := range schemas["Request"].Value.Properties {
		want = append(want, name)
	}
	var got []string
	for name := range schemas["RhythmRequest"].Value.Properties {
		got = append(got, name)
	}
	require.ElementsMatch(t, want, got)
}
