package web

import (
	"cmp"
	"slices"
	"strconv"

	"reedlark/api"
)

// Field is one setting of the form.
type Field struct {
	Name, Label string
	Choices     []Choice // none for a number
	Min, Max    string   // of a number
	Holder      string   // what an empty number stands for
}

// Choice is one value of a setting. The empty value leaves it as it is.
type Choice struct{ Value, Label string }

// groups are the settings that the form shows together, in order. What each may
// be is in the table of [api.Parameters].
var groups = map[string][]string{
	"practise": {"backing", "style", "mix", "brackets", "swing", "position"},
	"sound":    {"bends", "phrasing", "layout", "tuning", "a4", "room", "loudness"},
	"reading":  {"metre", "convention", "strict"},
}

// asWritten is what a setting stands for that a page decides.
const asWritten = "as written"

// fieldNamed is the field for a parameter. It is empty where there is none, and
// a page with an empty field fails its test.
func fieldNamed(name string) Field {
	p := api.ParameterNamed(name)
	f := Field{Name: p.Name, Label: p.Label}
	words := slices.Concat(p.Words, p.Offered)
	if words == nil {
		f.Min, f.Max, f.Holder = number(p.Min), number(p.Max), cmp.Or(p.Default, asWritten)
		return f
	}
	if p.Default == "" {
		f.Choices = append(f.Choices, Choice{"", asWritten})
	}
	for _, w := range words {
		if w.Value == p.Default {
			w.Value = ""
		}
		f.Choices = append(f.Choices, Choice{w.Value, w.Label})
	}
	return f
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// fieldGroup is a group of settings with what the form has in them.
type fieldGroup struct {
	Fields []Field
	Values map[string]string
}

func groupOf(name string, values map[string]string) fieldGroup {
	g := fieldGroup{Values: values}
	for _, setting := range groups[name] {
		g.Fields = append(g.Fields, fieldNamed(setting))
	}
	return g
}
