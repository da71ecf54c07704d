package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"reedlark/api"
	"reedlark/cmd/reedlark/batch"
	"reedlark/tab/diag"
)

type surveyCmd struct {
	Files    []string     `arg:"" name:"folder" help:"A folder of pages of tab: every .txt and .tab file in it and below. Single pages too."`
	JSON     bool         `name:"json" help:"Print JSON."`
	Settings kong.Plugins `embed:""`
}

// surveyed is what survey says of one page.
type surveyed struct {
	File     string `json:"file"`
	Encoding string `json:"encoding"`
	Plays    bool   `json:"plays"`
	api.Reading
	Questions []diag.Diagnostic `json:"questions"`
	errors    []diag.Diagnostic // those that are no question
	all       []diag.Diagnostic
	text      string
}

// survey is what survey says of a folder.
type survey struct {
	Pages []surveyed  `json:"pages"`
	Codes []codeCount `json:"codes"`
}

// run reads every page and changes none.
func (s *surveyCmd) run(ctx context.Context, c *console) api.Failure {
	found, unread := batch.Find(s.Files)
	worst := c.failUnread(unread)
	out, counts := survey{Pages: []surveyed{}}, codeCounts{}
	for _, p := range found {
		if ctx.Err() != nil {
			return c.fail("", batch.ErrInterrupted)
		}
		one, err := guarded(func() (surveyed, error) { return c.survey(ctx, p.Name) })
		if err != nil {
			printDiagnostics(c.stderr, page{name: one.File, text: one.text}, refused(err))
			worst = max(worst, c.fail(cmp.Or(one.File, p.Name), err))
			continue
		}
		counts.add(verdict{File: one.File, Diagnostics: one.all})
		out.Pages = append(out.Pages, one)
	}
	out.Codes = counts.sorted()
	if s.JSON {
		return max(worst, c.answer(ctx, batch.Dash, out))
	}
	out.write(c.stdout)
	counts.write(c.stdout)
	return worst
}

// survey reads one page. That it cannot be played is an answer, not a failure.
func (c *console) survey(ctx context.Context, name string) (surveyed, error) {
	p, err := c.read(ctx, name)
	out := surveyed{File: p.name, Encoding: p.encoding.Name, text: p.text}
	if err != nil {
		return out, err
	}
	req := c.request
	if err := req.Set("tab", p.text); err != nil {
		return out, err
	}
	piece, err := c.door.Open(ctx, req)
	list := refused(err)
	if err == nil {
		out.Plays = true
		list, err = piece.Advice(ctx)
	}
	if err != nil && list == nil {
		return out, err
	}
	out.Reading, out.Questions = piece.Reading(), questions(list)
	out.all = list
	out.errors = slices.DeleteFunc(slices.Clone(list), func(d diag.Diagnostic) bool {
		return d.Severity != diag.Error || slices.ContainsFunc(out.Questions, func(q diag.Diagnostic) bool { return q.Same(&d) })
	})
	return out, nil
}

// write shows a survey: the sums first, then each page that needs somebody.
func (s survey) write(w io.Writer) {
	plays, asks := 0, 0
	sums := map[string]map[string]int{"read as": {}, "harp": {}, "tempo": {}, "encoding": {}}
	for _, p := range s.Pages {
		plays += number(p.Plays)
		asks += number(len(p.Questions) > 0)
		sums["read as"][p.Convention]++
		sums["harp"][cmp.Or(p.Harp, "not named")]++
		sums["encoding"][p.Encoding]++
		tempo := "not named"
		if p.Tempo > 0 {
			tempo = fmt.Sprint(p.Tempo)
		}
		sums["tempo"][tempo]++
	}
	printf(w, "%d %s: %d can be played, %d with a question\n", len(s.Pages), plural(len(s.Pages), "page"), plays, asks)
	for _, name := range []string{"read as", "harp", "tempo", "encoding"} {
		printf(w, "%-9s %s\n", name, clean(frequencies(sums[name])))
	}
	for _, p := range s.Pages {
		p.write(w)
	}
	printf(w, "\n")
}

// write shows the questions of a page with their answers, or what keeps it from
// being played.
func (p surveyed) write(w io.Writer) {
	places := map[diag.Code]int{}
	for _, q := range p.Questions {
		places[q.Code] += q.Total()
	}
	for _, q := range p.Questions {
		if places[q.Code] == 0 {
			continue // asked already
		}
		printf(w, "\n%s: %s [%s]\n", clean(placeName(p.File, q.Place)), clean(q.Message), q.Code)
		if more := places[q.Code] - 1; more > 0 {
			printf(w, "    and %d more like it\n", more)
		}
		places[q.Code] = 0
		for _, e := range q.Edits {
			printf(w, "    answer: %s\n", clean(e.Label))
		}
		if len(q.Edits) == 0 && q.Hint != "" {
			printf(w, "    hint: %s\n", clean(q.Hint))
		}
	}
	if more := len(p.errors) - 1; more >= 0 {
		printf(w, "\n%s: error: %s [%s]\n", clean(placeName(p.File, p.errors[0].Place)), clean(p.errors[0].Message), p.errors[0].Code)
		if more > 0 {
			printf(w, "    and %d more\n", more)
		}
	}
}

// frequencies lists words by how often they occur: "C 12, G 3".
func frequencies(count map[string]int) string {
	words := slices.Sorted(maps.Keys(count))
	slices.SortStableFunc(words, func(a, b string) int { return cmp.Compare(count[b], count[a]) })
	for i, word := range words {
		words[i] = fmt.Sprintf("%s %d", word, count[word])
	}
	return strings.Join(words, ", ")
}

func number(is bool) int {
	if is {
		return 1
	}
	return 0
}
