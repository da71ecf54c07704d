package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/api"
)

// A page that brings out a bug is reported as our fault, and does not keep the
// others from being read. A console without a door panics on every page.
func TestABugCostsOnePage(t *testing.T) {
	folder(t, map[string]string{"in/a.txt": good, "in/b.txt": good})
	for name, command := range map[string]command{
		"check":   &checkCmd{Files: []string{"in"}},
		"fix":     &checkCmd{Files: []string{"in"}, Fix: fixAll, editing: editing{Diff: true}},
		"survey":  &surveyCmd{Files: []string{"in"}},
		"rewrite": &rewriteCmd{Files: []string{"in"}, editing: editing{Diff: true}},
	} {
		var out, said bytes.Buffer
		c := &console{stdout: &stickyWriter{Writer: &out, ctx: t.Context()}, stderr: &said, request: api.Defaults()}
		assert.Equal(t, api.OurFailure, command.run(t.Context(), c), name)
		for _, page := range []string{"in/a.txt", "in/b.txt"} {
			assert.Equal(t, 1, strings.Count(said.String(), page+": a bug in reedlark, please report it"), "%s: %s", name, &said)
		}
	}
}
