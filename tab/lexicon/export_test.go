package lexicon

import (
	"maps"
	"slices"
)

// Words is every word and phrase of the table, each once, in no order.
func Words() []string {
	byWord, _ := index()
	return slices.Collect(maps.Keys(byWord))
}
