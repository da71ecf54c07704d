package tab_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"reedlark/tab"
)

func TestSections(t *testing.T) {
	page := "Title: t\nIntro: 4 -4\n[Chorus] (softly)\n5 -5\nwords\n[Verse 2] 6 -6\n[3]\n7 -7\nBridge:\n8 [4] 9\n"
	assert.Equal(t, []tab.Section{{Line: 2, Name: "Intro"}, {Line: 3, Name: "Chorus"}, {Line: 6, Name: "Verse 2"}, {Line: 7, Name: "3"}}, tab.Parse(page, tab.Options{}).Sections())
}
