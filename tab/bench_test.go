package tab_test

import (
	"strings"
	"testing"

	"reedlark/tab"
)

// hostile are pages that must be answered at once, whatever they ask for.
var hostile = map[string]string{
	"open braces":     strings.Repeat("{4 ", 20_000),
	"open brackets":   strings.Repeat("(4 ", 20_000),
	"open repeats":    strings.Repeat("|: 4 ", 12_000),
	"closed repeats":  strings.Repeat("4 :| ", 12_000),
	"nested repeats":  strings.Repeat("|: ", 4) + strings.Repeat("| ", 15_000) + "4 " + strings.Repeat(":| x16 ", 4),
	"notes":           strings.Repeat("4 ", 32_000),
	"dashes":          strings.Repeat("-", 64_000),
	"hold marks":      "4 " + strings.Repeat("- ", 32_000),
	"lines of holds":  strings.Repeat("- \n", 20_000),
	"unknown words":   "tab: " + strings.Repeat("Q ", 32_000),
	"lines of tab":    strings.Repeat("4\n", 16_000),
	"counts":          "tab: " + strings.Repeat("4 ", 15_000) + "\ncount: " + strings.Repeat("1 ", 15_000),
	"stretched brace": "{" + strings.Repeat("4", 1) + strings.Repeat(" 5", 15_000) + "}" + strings.Repeat("-", 200),
	"ampersands":      strings.Repeat("&", 64_000),
	"NULs":            strings.Repeat("\x00", 64_000),
	"no UTF-8":        strings.Repeat("\xff\xfe", 32_000),
	"slides":          strings.Repeat("4>", 16_000),
	"bars":            "Metre: 4/4\n" + strings.Repeat("4|", 18_000),
	"line repeats":    strings.Repeat("4 x16\n", 10_000),
	"closers":         strings.Repeat("4) ", 20_000),
	"numbers":         strings.Repeat("123456789 ", 6_000),
	"long number":     strings.Repeat("4", 64_000),
	"long bend":       "4" + strings.Repeat("/", 64_000),
}

func BenchmarkHostile(b *testing.B) {
	for name, page := range hostile {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				d := tab.Parse(page, tab.Options{})
				d.Source.PlaceAll(d.Problems)
			}
		})
	}
}

func BenchmarkParse(b *testing.B) {
	page := "Metre: 4/4\n" + strings.Repeat("4 -4 5 -5 | 6 -6- 7 | {4 -4} (5)6 -3// r | 4 -> 6 5- |\nand the words that go below it\n", 20)
	b.SetBytes(int64(len(page)))
	for b.Loop() {
		tab.Parse(page, tab.Options{})
	}
}
