package main

import (
	"cmp"
	"fmt"
	"io"
	"reflect"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"reedlark/api"
)

// cli is what every command line may have; see [commands] for the commands.
type cli struct {
	Version  kong.VersionFlag `help:"Show the version."`
	Licences licencesFlag     `aliases:"licenses" help:"Show the licences of the program and of everything in it."`
}

const description = `Plays harmonica tab: text in, sound out.

A first tune: write "4 -4 5 6" into tune.txt (blow 4, draw 4, blow 5, blow 6), then

    reedlark render tune.txt

and play tune.wav. A dash after a number holds it one beat longer: "6-". The page may name its harp ("Harp: G") and
its speed ("Tempo: 90"); flags win over the page. Start with the volume low.

Exit codes: 0 done, 1 a page is at fault, 2 the command line is wrong, 3 something else failed.`

// newParser is the parser of these arguments; exit is called when help or the
// version is asked for.
func newParser(args []string, stdout, stderr io.Writer, exit func(int)) (*kong.Kong, error) {
	parser, err := kong.New(&cli{}, append(append(withBounds(), withCommands(args)...),
		kong.Name("reedlark"), kong.Description(description), kong.Vars{
			"version": build(), "harp": api.ParameterNamed("harp").Allowed, "tempo": api.ParameterNamed("tempo").Allowed,
			"backing": api.ParameterNamed("backing").Allowed,
		},
		kong.Writers(stdout, stderr), kong.Exit(exit),
		kong.WithHyphenPrefixedParameters(true),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 110}),
	)...)
	if err != nil {
		return nil, err
	}
	parser.Model.HelpFlag.Help = "Show this help."
	return parser, nil
}

// ofATab picks the parameters that are flags of a tab's commands. The tab
// itself is a file.
func ofATab(p api.Parameter) bool { return p.Name != "tab" }

// besides picks them without those that are lists, which the command reads
// itself.
func besides(lists ...string) func(api.Parameter) bool {
	return func(p api.Parameter) bool { return ofATab(p) && !slices.Contains(lists, p.Name) }
}

// ofAHarp picks those that a chart takes.
func ofAHarp(p api.Parameter) bool {
	return slices.Contains([]string{"layout", "tuning", "a4"}, p.Name)
}

// settings are parameters of the door as flags: --count-in is count_in. They
// are made from the door's own table, so that none can be forgotten, and show what
// each usually is.
func settings(wanted func(api.Parameter) bool) kong.Plugins {
	return settingsOf(api.Parameters(), wanted)
}

func settingsOf(parameters []api.Parameter, wanted func(api.Parameter) bool) kong.Plugins {
	var fields []reflect.StructField
	for _, p := range parameters {
		if !wanted(p) {
			continue
		}
		kind := reflect.TypeFor[string]()
		if p.Flag {
			kind = reflect.TypeFor[bool]()
		}
		tag := fmt.Sprintf(`name:%q help:%q placeholder:%q group:"Settings"`,
			flagName(p.Name), p.Help+": "+p.Allowed, cmp.Or(p.Default, "…"))
		fields = append(fields, reflect.StructField{
			Name: strings.ToUpper(p.Name[:1]) + p.Name[1:], Type: kind, Tag: reflect.StructTag(tag),
		})
	}
	return kong.Plugins{reflect.New(reflect.StructOf(fields)).Interface()}
}

// fillSearch sets every parameter of a search that was given as a flag.
func (c *console) fillSearch(s *api.Search, known []api.Parameter) error {
	for _, step := range c.parsed.Path {
		if step.Flag == nil {
			continue
		}
		name := strings.ReplaceAll(step.Flag.Name, "-", "_")
		if !slices.ContainsFunc(known, func(p api.Parameter) bool { return p.Name == name }) {
			continue
		}
		if err := s.Set(name, fmt.Sprint(c.parsed.FlagValue(step.Flag))); err != nil {
			return err
		}
	}
	return nil
}

// fill sets every parameter that was given as a flag with one value, or none.
func fill(r *api.Request, parsed *kong.Context) error {
	known := api.Parameters()
	for _, step := range parsed.Path {
		if step.Flag == nil {
			continue
		}
		name := strings.ReplaceAll(step.Flag.Name, "-", "_")
		value := parsed.FlagValue(step.Flag)
		if !slices.ContainsFunc(known, func(p api.Parameter) bool { return p.Name == name }) {
			continue
		}
		list, several := value.([]string) // which the command reads itself
		switch {
		case several && len(list) > 0:
			continue
		case several:
			value = "" // refused as every empty value is
		}
		if err := r.Set(name, fmt.Sprint(value)); err != nil {
			return err
		}
	}
	return nil
}

// build names the version of the program as Go recorded it.
func build() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "reedlark, an unknown build"
	}
	return "reedlark " + info.Main.Version + ", " + info.GoVersion
}
