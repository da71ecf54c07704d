package main

import (
	"net/url"
	"path/filepath"
	"strings"

	"reedlark/tab/diag"
)

// sarif gathers diagnostics for the Static Analysis Results Interchange Format,
// which code hosts and editors read. ref: OASIS, SARIF Version 2.1.0 plus
// Errata 01, 28 August 2023; section numbers stand beside the members.
type sarif struct {
	rules    []sarifRule
	numbers  map[diag.Code]int // of the rules
	results  []sarifResult
	unread   []sarifNotification
	complete bool
}

type (
	sarifLog struct { // 3.13
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct { // 3.14
		Tool        sarifTool         `json:"tool"`
		Invocations []sarifInvocation `json:"invocations"`
		ColumnKind  string            `json:"columnKind"`
		Results     []sarifResult     `json:"results"`
	}
	sarifTool struct { // 3.18
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct { // 3.19
		Name        string      `json:"name"`
		Version     string      `json:"version"`
		Rules       []sarifRule `json:"rules"`
		Description sarifText   `json:"shortDescription"`
	}
	sarifRule struct { // 3.49
		ID          string    `json:"id"`
		Description sarifText `json:"shortDescription"`
	}
	sarifText struct { // 3.11
		Text string `json:"text"`
	}
	sarifInvocation struct { // 3.20
		Successful    bool                `json:"executionSuccessful"`
		Notifications []sarifNotification `json:"toolExecutionNotifications"`
	}
	sarifNotification struct { // 3.58
		Level     string          `json:"level"`
		Message   sarifText       `json:"message"`
		Locations []sarifLocation `json:"locations"`
	}
	sarifResult struct { // 3.27
		RuleID    string          `json:"ruleId"`
		RuleIndex int             `json:"ruleIndex"`
		Level     string          `json:"level"`
		Message   sarifText       `json:"message"`
		Locations []sarifLocation `json:"locations"`
		Fixes     []sarifFix      `json:"fixes,omitempty"`
	}
	sarifFix struct { // 3.55
		Description sarifText     `json:"description"`
		Changes     []sarifChange `json:"artifactChanges"`
	}
	sarifChange struct { // 3.56
		Artifact     sarifArtifact      `json:"artifactLocation"`
		Replacements []sarifReplacement `json:"replacements"`
	}
	sarifReplacement struct { // 3.57
		Deleted  *sarifRegion `json:"deletedRegion"`
		Inserted sarifText    `json:"insertedContent"`
	}
	sarifLocation struct { // 3.28
		Physical sarifPlace `json:"physicalLocation"`
	}
	sarifPlace struct { // 3.29
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct { // 3.4
		URI string `json:"uri"`
	}
	sarifRegion struct { // 3.30
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn"`
		EndLine     int `json:"endLine"`
		EndColumn   int `json:"endColumn"` // of the character after it
	}
)

func newSarif() *sarif {
	return &sarif{numbers: map[diag.Code]int{}, complete: true}
}

// add takes in what was found in one file.
func (s *sarif) add(v verdict) {
	if v.Error != "" {
		s.complete = false
		s.unread = append(s.unread, sarifNotification{"error", sarifText{v.Error}, []sarifLocation{located(v.File, nil)}})
	}
	source := diag.NewSource(v.text)
	for _, d := range eachPlace(v.Diagnostics) {
		s.results = append(s.results, sarifResult{
			RuleID: string(d.Code), RuleIndex: s.rule(d.Code), Level: string(d.Severity), Message: sarifText{advised(d)},
			Locations: []sarifLocation{located(v.File, regionOf(source, source.Span(d.Place)))},
			Fixes:     sarifFixes(v.File, source, d.Edits),
		})
	}
}

// regionOf is a span as lines and columns. A problem of the whole page stands at
// its beginning.
func regionOf(source *diag.Source, at diag.Span) *sarifRegion {
	line, column := source.Position(at.Start)
	endLine, endColumn := source.Position(at.End)
	return &sarifRegion{line, column, endLine, endColumn}
}

// sarifFixes are edits, each a fix that a reader may choose.
func sarifFixes(file string, source *diag.Source, edits []diag.Edit) []sarifFix {
	var out []sarifFix
	for _, e := range edits {
		change := sarifChange{Artifact: located(file, nil).Physical.Artifact}
		for _, c := range e.Changes {
			change.Replacements = append(change.Replacements, sarifReplacement{regionOf(source, c.Span), sarifText{c.Text}})
		}
		out = append(out, sarifFix{sarifText{e.Label}, []sarifChange{change}})
	}
	return out
}

// advised is what is wrong and what to write instead.
func advised(d diag.Diagnostic) string {
	if d.Hint == "" {
		return d.Message
	}
	return d.Message + " Hint: " + d.Hint
}

// rule is the number of a code among those that were met.
func (s *sarif) rule(code diag.Code) int {
	n, known := s.numbers[code]
	if !known {
		n = len(s.rules)
		s.numbers[code] = n
		s.rules = append(s.rules, sarifRule{string(code), sarifText{strings.ReplaceAll(string(code), "-", " ")}})
	}
	return n
}

// located is a place in a file. A file outside the folder of the call has its
// whole path; ref: 3.4.3, a URI or one relative to where the reader looks.
func located(name string, region *sarifRegion) sarifLocation {
	path := url.URL{Path: filepath.ToSlash(filepath.Clean(name))}
	if filepath.IsAbs(name) {
		path.Scheme = "file"
	}
	return sarifLocation{sarifPlace{sarifArtifact{path.String()}, region}}
}

// document is the whole log, with the name of the program's build. Columns
// are counted in code points, and the format has a word for that (3.14.27).
func (s *sarif) document(build string) sarifLog {
	driver := sarifDriver{"reedlark", build, append([]sarifRule{}, s.rules...), sarifText{"checks harmonica tab"}}
	return sarifLog{
		Schema:  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		Version: "2.1.0",
		Runs: []sarifRun{{
			Tool:        sarifTool{driver},
			Invocations: []sarifInvocation{{s.complete, append([]sarifNotification{}, s.unread...)}},
			ColumnKind:  "unicodeCodePoints",
			Results:     append([]sarifResult{}, s.results...),
		}},
	}
}
