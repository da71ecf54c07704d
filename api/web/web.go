// Package web is what a browser is given: the page at which a tab is heard,
// followed and practised, the small player that other sites embed, and the page
// that says where a note lies.
//
// Every page works as it is sent: a form, a sound with the browser's own
// controls, the text and what is wrong with it. Scripts, plain ES modules served
// as they are in assets/, draw the sheet and add practice. A page asks the public
// HTTP interface and nothing else. A link carries its whole request; tabs that
// somebody pastes are kept in the browser's IndexedDB, and nowhere else. The
// policy that pages are sent with forbids everything more.
//
// The package knows no tab and no HTTP: it is handed a [View] and writes HTML. The
// fields of the form are made from the table of package api.
package web

import (
	"embed"
	"html/template"
	"io"
	"io/fs"
	"sync"

	"reedlark/api"
)

//go:embed pages/*.html
var pages embed.FS

//go:embed assets
var assets embed.FS

// StartTune is what the page shows when it is asked for nothing: a tune made up
// for it, which has one of everything the tab language can do.
//
//go:embed pages/start.txt
var StartTune string

// Assets are the scripts and style sheets by their names.
func Assets() fs.FS {
	sub, err := fs.Sub(assets, "assets")
	if err != nil {
		panic(err) // the folder is embedded above
	}
	return sub
}

// PagePolicy is the content security policy of our own pages: everything from
// here, no script or style within the page, and in nobody's frame.
// ref: W3C Content Security Policy Level 3.
const PagePolicy = common + "; frame-ancestors 'none'"

// Worker is the script that runs the engine, which needs the policy of a page.
const Worker = "worker.js"

// EmbedPolicy is that of the embedded player, which lives in others' frames.
const EmbedPolicy = common + "; frame-ancestors *"

const common = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self' blob:; style-src 'self'; img-src 'self' data:; " +
	"media-src 'self' blob:; connect-src 'self'; form-action 'self'; base-uri 'none'"

// View is what a page shows of a tab.
type View struct {
	Origin   string            // of this server, "https://example.org"
	Values   map[string]string // parameters that are not at their default, as text
	State    string            // all of them, as JSON
	Title    string            // of the tune; empty where it has none
	Setting  string            // the harp and the tempo in words
	Link     string            // the request as one word; empty where it is too long for one
	Signed   bool              // addresses of sounds have to be signed
	Sound    template.URL      // path and query of its sound; empty where there is no link
	Refusal  string            // why nothing can be played, where that is not the text's fault
	Problems []Problem
	Lines    []Line
	Playable bool
	Fresh    bool // no tab was asked for, so that it shows the tune the page starts with
}

// Problem is one thing that is wrong with, or to be said of, the text.
type Problem struct {
	Severity      string // error, warning, note
	Line, Column  int    // from 1
	Length        int    // characters
	Message, Hint string
}

// Line is one line of the page, cut into its notes and what lies between them.
type Line struct {
	Kind  string
	Parts []Part
}

// Part is a stretch of a line. A note has the names of what sounds, and where
// it stands.
type Part struct {
	Text  string
	Names string // empty for what is no note
	At    string // "line:column"
}

// Place is where a note lies on one harp.
type Place struct{ Tab, How string }

// HarpPlaces is where a note lies on one of the harps; nowhere is empty.
type HarpPlaces struct {
	Key    string
	Places []Place
}

// NoteView is what the page about one note shows.
type NoteView struct {
	Note  string
	Hz    string
	Lower string // the notes beside it; empty at the ends
	Upper string
	Harps []HarpPlaces
	Wrong string // why there is no such note
}

// templates are read when the first page is asked for: a program that only
// renders has no use for them.
var templates = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(template.FuncMap{
		"field": fieldNamed,
		"group": groupOf,
		"engine": func() bool {
			_, built := BuiltEngine(api.EngineVersion())
			return built
		},
		"frameScript": func() string { return FrameScript },
	}).ParseFS(pages, "pages/*.html"))
})

// Page writes the page at which a tab is heard.
func Page(w io.Writer, v View) error { return templates().ExecuteTemplate(w, "page.html", v) }

// Embed writes the small player for other sites.
func Embed(w io.Writer, v View) error { return templates().ExecuteTemplate(w, "embed.html", v) }

// Note writes the page about one note.
func Note(w io.Writer, v NoteView) error { return templates().ExecuteTemplate(w, "note.html", v) }
