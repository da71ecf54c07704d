package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTable: no fewer pages are read right than when the table in the README was
// made, and no more are read wrong in silence.
const leastRight, mostSilent = 97, 4

func TestTable(t *testing.T) {
	pages, err := load()
	require.NoError(t, err)
	require.Len(t, pages, 140)
	count := map[string]int{}
	for _, p := range pages {
		class, _, _ := p.read(".")
		count[class]++
	}
	assert.GreaterOrEqual(t, count[exact]+count[asked], leastRight)
	assert.LessOrEqual(t, count[silent], mostSilent)
}
