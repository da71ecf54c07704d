package main

import (
	"slices"

	"github.com/alecthomas/kong"

	"reedlark/api"
)

// entry is a command of the program.
type entry struct {
	name, help string
	flags      func() command
}

// commands are in the order of the help.
var commands = []entry{
	{"render", "Turn tab into sound: a WAV file next to each page.", func() command {
		return &renderCmd{Settings: settings(besides("harp", "tempo"))}
	}},
	{"check", "Find what is wrong or in doubt in pages of tab.", func() command { return &checkCmd{Settings: settings(ofATab)} }},
	{"survey", "Summarise a folder of old pages, and list those that ask a question.", func() command { return &surveyCmd{Settings: settings(ofATab)} }},
	{"score", "Show what is played, when and at what pitch: JSON, MIDI or MusicXML.", func() command { return &scoreCmd{Settings: settings(ofATab)} }},
	{"rewrite", "Rewrite pages of tab in signs, letters or arrows.", func() command { return &rewriteCmd{Settings: settings(ofATab)} }},
	{"rhythm", "Write the rhythm that somebody tapped or played into a page of tab.", func() command { return &rhythmCmd{Settings: settings(ofATab)} }},
	{"practice", "Pack sounds of pages, on all harps and at several tempos, into a zip with a page that plays them.", func() command {
		return &practiceCmd{Settings: settings(besides("harp", "tempo", "backing"))}
	}},
	{"arrange", "Put the melody of a score on a harp: MusicXML, ABC or MIDI in, a page of tab out.", func() command {
		return &arrangeCmd{Settings: settingsOf(api.ArrangeParameters(), ofATab)}
	}},
	{"find", "Find the harps that play a melody given as notes, the easiest first.", func() command {
		return &findCmd{Settings: settingsOf(api.FindParameters(), besides("melody"))}
	}},
	{"harp", "Show every note of one harp, with bends and overs.", func() command { return &harpCmd{Settings: settings(ofAHarp)} }},
	{"serve", "Serve HTTP, for web pages.", func() command { return &serveCmd{Options: kong.Plugins{&serving{}}} }},
	{"sign", "Sign addresses of sounds, for a service that requires it.", func() command { return &signCmd{} }},
	{"health", "Ask a running service whether it is ready.", func() command { return &healthCmd{} }},
}

// withCommands gives the parser every command, and flags to those that are named.
// To describe all flags takes longer than everything else that a short call does.
func withCommands(args []string) []kong.Option {
	options := make([]kong.Option, len(commands))
	for i, e := range commands {
		var grammar any = &struct{}{}
		if slices.Contains(args, e.name) {
			grammar = e.flags()
		}
		options[i] = kong.DynamicCommand(e.name, e.help, "", grammar)
	}
	return options
}
