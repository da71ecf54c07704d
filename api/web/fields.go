package web

import (
	"slices"
	"strings"
)

// Field is one setting of the form.
type Field struct {
	Name, Label string
	Group       string   // where the form has it: practise, sound, reading; "" stands in the player
	Choices     []Choice // none for a number
	Min, Max    string   // of a number
	Holder      string   // what an empty number stands for
}

// Choice is one value of a setting. The empty value leaves it as it is.
type Choice struct{ Value, Label string }

// fields are the settings behind the fold, in order.
var fields = []Field{
	{Name: "count_in", Label: "Count-in", Choices: []Choice{{"", "off"}, {"1", "1 bar"}, {"2", "2 bars"}, {"3", "3 bars"}, {"4", "4 bars"}}},
	{Name: "click", Label: "Click", Choices: []Choice{{"", "off"}, {"true", "on"}}},
	{Name: "backing", Group: "practise", Label: "Backing", Choices: []Choice{{"", "off"}, {"drone", "a drone"}, {"chords", "bass and chords, from the chord rows"}}},
	{Name: "mix", Group: "practise", Label: "Who is heard", Choices: []Choice{{"", "all"}, {"melody", "the harp alone"}, {"backing", "what plays along, alone"}, {"split", "the harp left, the rest right"}}},
	{Name: "brackets", Group: "practise", Label: "Notes in brackets", Choices: []Choice{{"", "soft"}, {"full", "full"}, {"skip", "left out"}}},
	{Name: "bends", Group: "sound", Label: "Bends", Choices: []Choice{{"", "glide into the note"}, {"direct", "straight on the note"}}},
	{Name: "phrasing", Group: "sound", Label: "How it is played", Choices: []Choice{{"", "as a player shapes it"}, {"plain", "exactly as written"}}},
	{Name: "swing", Group: "practise", Label: "Swing", Min: "0.5", Max: "0.75", Holder: "as written"},
	{Name: "metre", Group: "reading", Label: "Metre", Choices: []Choice{
		{"", "as written"}, {"2/4", "2/4"}, {"3/4", "3/4"}, {"4/4", "4/4"}, {"6/8", "6/8"}, {"9/8", "9/8"}, {"12/8", "12/8"},
	}},
	{Name: "convention", Group: "reading", Label: "How blow and draw are written", Choices: []Choice{
		{"", "find out"}, {"signs", "signs: 4 −4"}, {"letters", "letters: B4 D4"}, {"arrows", "arrows: 4↑ 4↓"},
	}},
	{Name: "layout", Group: "sound", Label: "Layout of the harp", Choices: []Choice{
		{"", "as written"},
		{"richter", "Richter"},
		{"country", "country"},
		{"raised-third", "raised third"},
		{"natural-minor", "natural minor"},
		{"harmonic-minor", "harmonic minor"},
		{"solo", "solo"},
	}},
	{Name: "tuning", Group: "sound", Label: "Tuning", Choices: []Choice{{"", "as written"}, {"equal", "equal"}, {"just", "just"}, {"compromise", "compromise"}}},
	{Name: "a4", Group: "sound", Label: "Pitch of A4 in hertz", Min: "415", Max: "466", Holder: "440"},
	{Name: "position", Group: "practise", Label: "Position", Min: "1", Max: "12", Holder: "1"},
	{Name: "room", Group: "sound", Label: "Room around the harp", Min: "0", Max: "1", Holder: "0.15"},
	{Name: "strict", Group: "reading", Label: "What is doubtful", Choices: []Choice{{"", "a guess is played"}, {"true", "refuse it, like a mistake"}}},
	{Name: "loudness", Group: "sound", Label: "Loudness in LUFS", Min: "-30", Max: "-12", Holder: "-16"},
}

// Fields lists the settings of the form that have choices or bounds, so that
// whoever knows what is allowed can compare.
func Fields() []Field { return append([]Field{harp, tempo}, fields...) }

var (
	harp  = Field{Name: "harp", Label: "Harp", Choices: harpChoices()}
	tempo = Field{Name: "tempo", Label: "Tempo", Min: "20", Max: "400", Holder: "as written"}
)

// fieldGroup is a group of settings with what the form has in them.
type fieldGroup struct {
	Fields []Field
	Values map[string]string
}

func groupOf(name string, values map[string]string) fieldGroup {
	g := fieldGroup{Values: values}
	for _, f := range fields {
		if f.Group == name {
			g.Fields = append(g.Fields, f)
		}
	}
	return g
}

func fieldNamed(name string) Field {
	i := slices.IndexFunc(fields, func(f Field) bool { return f.Name == name })
	return fields[i] // a template that names none fails its test
}

var keys = strings.Fields("C Db D Eb E F F# G Ab A Bb B")

func harpChoices() []Choice {
	all := []Choice{{"", "as written"}}
	for _, register := range []string{"", "low ", "high "} {
		for _, key := range keys {
			all = append(all, Choice{register + key, register + key})
		}
	}
	return all
}

func harps() []Choice { return harp.Choices }
