package main

import (
	_ "embed"
	"io"

	"github.com/alecthomas/kong"
)

// notice is the licences of the program and of all that is linked into it.
//
//go:embed NOTICE
var notice string

// licencesFlag shows the licences and ends the program, as --version does.
type licencesFlag bool

// BeforeReset is called by kong where the flag is given.
func (licencesFlag) BeforeReset(app *kong.Kong) error {
	_, err := io.WriteString(app.Stdout, notice)
	app.Exit(0)
	return err
}
