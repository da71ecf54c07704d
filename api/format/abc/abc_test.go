package abc_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/api/format/abc"
	"reedlark/tab/melody"
)

// read reads the only tune of a text.
func read(t require.TestingT, text string) []*melody.Tune {
	book, err := abc.Book([]byte(text))
	require.NoError(t, err)
	return abc.Read(book[0])
}

// brief writes a tune down: notes as pitches@time+length, bars with their signs.
func brief(t *melody.Tune) (out string) {
	k := 0
	for i, b := range t.Bars {
		if i > 0 {
			out += "| "
		}
		if b.Section != "" {
			out += "[" + b.Section + "] "
		}
		if len(b.Endings) > 0 {
			out += fmt.Sprint("ending", b.Endings, " ")
		}
		if b.Open {
			out += "open "
		}
		for ; k < len(t.Notes) && t.Notes[k].At.Less(t.BarEnd(i)); k++ {
			n := t.Notes[k]
			var names []string
			for _, p := range n.Pitches {
				names = append(names, p.Name)
			}
			if n.Grace {
				out += "grace "
			}
			out += fmt.Sprintf("%s@%s+%s ", strings.Join(names, "+"), n.At, n.Length)
			if w := strings.Join(n.Words, "/"); w != "" {
				out += "“" + w + "” "
			}
		}
		if b.Close > 0 {
			out += fmt.Sprint("close", b.Close, " ")
		}
		if b.Jump.From != "" {
			out += b.Jump.String() + " "
		}
	}
	return strings.TrimSpace(out)
}

// The examples follow the sections of the standard, 2.1.
func TestMusic(t *testing.T) {
	for text, want := range map[string]string{
		"C2 D/ E// F3/2":         "C4@0+1 D4@1+1/4 E4@5/4+1/8 F4@11/8+3/4",                           // 4.3
		"A>B c<d e>>f":           "A4@0+3/4 B4@3/4+1/4 C5@1+1/4 D5@5/4+3/4 E5@2+7/8 F5@23/8+1/8",     // 4.4
		"z C x2 D|Z|E":           "C4@1/2+1/2 D4@2+1/2 | | E4@13/2+1/2",                              // 4.5
		"^C C _D|C":              "C#4@0+1/2 C#4@1/2+1/2 Db4@1+1/2 | C4@3/2+1/2",                     // 4.2
		"C, c' B,,":              "C3@0+1/2 C6@1/2+1/2 B2@1+1/2",                                     // 4.1
		"CD|EF:|":                "open C4@0+1/2 D4@1/2+1/2 | E4@1+1/2 F4@3/2+1/2 close2",            // 4.8
		"|:C|1D:|2E|]":           "open C4@0+1/2 | ending[1] D4@1/2+1/2 close2 | ending[2] E4@1+1/2", // 4.9
		"C4-|C4":                 "C4@0+4 |",                                                         // 4.11
		"(3CDE (2FG":             "C4@0+1/3 D4@1/3+1/3 E4@2/3+1/3 F4@1+3/4 G4@7/4+3/4",               // 4.13
		"{CD}E":                  "grace C4@0+0 grace D4@0+0 E4@0+1/2",                               // 4.12
		"[CEG]2 [C2E]":           "C4+E4+G4@0+1 C4+E4@1+1",                                           // 4.17
		"C[K:D]F[L:1/4]C":        "C4@0+1/2 F#4@1/2+1/2 C#4@1+1",                                     // 3.2
		"C!D.C.!|":               "C4@0+1/2 D.C.",                                                    // 4.14
		"CDEF\nw:la-la _ *":      "C4@0+1/2 “la-” D4@1/2+1/2 “la” E4@1+1/2 F4@3/2+1/2",               // 5.1
		"C D|E\nw:a|b\nw:one-|x": "C4@0+1/2 “a/one-” D4@1/2+1/2 | E4@1+1/2 “b/x”",                    // 5.1
		"P:A\nC|\nP:B\nD|":       "[A] C4@0+1/2 | [B] D4@1/2+1/2",                                    // 3.1.9
		"C & E|D":                "C4@0+1/2 | D4@1/2+1/2",                                            // 7.4, the first voice
		"\"Am\"C\"^up\"D":        "C4@0+1/2 D4@1/2+1/2",                                              // 4.18
	} {
		voices := read(t, "X:1\nT:Test\nM:4/4\nK:C\n"+text+"\n")
		assert.Equal(t, want, brief(voices[0]), text)
	}
}

func TestHeader(t *testing.T) {
	book, err := abc.Book([]byte("%abc-2.1\nL:1/4\n\nX:1\nT:One\nK:G\nF|\n\nX: 7\nT:Two \\'e\nT:again\nM:6/8\nQ:3/8=60\nK:Em\nV:1 name=\"Lead\"\nE3|\nV:2\nG,3|\n"))
	require.NoError(t, err)
	require.Len(t, book, 2)
	assert.Equal(t, [2]string{"7", "Two é"}, [2]string{book[1].Number, book[1].Title})
	assert.Equal(t, "F#4@0+1", brief(abc.Read(book[0])[0]), "L: of the file")
	voices := abc.Read(book[1])
	require.Len(t, voices, 2)
	v := voices[0]
	assert.Equal(t, "Two é", v.Title)
	assert.Equal(t, "Lead", v.Part)
	assert.Equal(t, "2", voices[1].Part)
	assert.InDelta(t, 90, v.Tempo, 1e-9)
	assert.Equal(t, melody.Metre{Beats: 6, Unit: 8}, v.Bars[0].Metre)
	assert.Equal(t, &melody.Key{Fifths: 1, Tonic: 4}, v.Key)
	_, err = abc.Book([]byte("no music"))
	assert.ErrorIs(t, err, abc.ErrNoTune)
}

// Signatures of the modes. ref: ABC 2.1, 3.1.14.
func TestKeys(t *testing.T) {
	for key, want := range map[string][3]int{ // fifths, tonic, what F is then
		"C": {0, 0, 65}, "Gmaj": {1, 7, 66}, "Dmix": {1, 2, 66}, "Ador": {1, 9, 66}, "F#m": {3, 6, 66}, "Bb": {-2, 10, 65}, "E phr": {0, 4, 65},
		"Flyd": {0, 5, 65}, "Eb minor": {-6, 3, 65}, "C ^f": {0, 0, 66}, "D exp _b": {0, 2, 65}, "HP": {2, 9, 66},
	} {
		v := read(t, "X:1\nK:"+key+"\nF\n")[0]
		assert.Equal(t, want[2], v.Notes[0].Pitches[0].Midi, key)
		if v.Key != nil {
			assert.Equal(t, [2]int{want[0], want[1]}, [2]int{v.Key.Fifths, v.Key.Tonic}, key)
		}
	}
}

// The order of parts. ref: ABC 2.1, 3.1.9.
func TestPartOrder(t *testing.T) {
	v := read(t, "X:1\nL:1/4\nP:A2(BA)2\nK:C\nP:A\nC|\nP:B\nD|\n")[0]
	var got string
	for _, n := range v.Notes {
		got += n.Pitches[0].Name[:1]
	}
	assert.Equal(t, "CCDCDC", got)
}

// What is no ABC is passed over and named.
func TestRemarks(t *testing.T) {
	v := read(t, "X:1\nK:C\nC # D\n")[0]
	assert.Equal(t, "C4@0+1/2 D4@1/2+1/2", brief(v))
	assert.Equal(t, []string{"line 3: “#” is no music and is passed over"}, v.Remarks)
}

// FuzzRead: whatever is read ends, with notes in order inside their bars.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"X:1\nM:4/4\nL:1/8\nK:G\n|:\"Am\"A>B (3cde {f}g2-|g4 [CEG]2 z2:|1 a:|2 b|]\nw:a-b c|d\n", "X:1\nP:A9\nK:C\nP:A\nC & D|Z4|[V:2]C'\n",
		"X:1\nK:\n[\"x\" [1 [| ::: .|", "K:Hp\n^/c (5:9:9 e//// >>> <", "X:1\nM:2+3/8\nK:C clef=bass-8 octave=-1\nC!D.S.alfine!:|",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		book, err := abc.Book(data)
		if err != nil {
			return
		}
		for _, e := range book {
			for _, v := range abc.Read(e) {
				for i := range v.Notes {
					n := &v.Notes[i]
					require.NotEmpty(t, n.Pitches)
					require.False(t, v.Length.Less(n.End()), "%v", n)
					require.False(t, i > 0 && n.At.Less(v.Notes[i-1].At))
				}
				for i := range v.Bars {
					require.False(t, v.BarEnd(i).Less(v.Bars[i].At))
				}
				v.Order()
			}
		}
	})
}

// What is never closed costs no more for each sign than one that is.
func BenchmarkUnclosed(b *testing.B) {
	for _, sign := range []string{"{", "[", "\"", "!", "(", "&", "|", "A>"} {
		b.Run(sign, func(b *testing.B) {
			book, err := abc.Book([]byte("X:1\nK:C\n" + strings.Repeat(sign, 200_000) + "\nw:" + strings.Repeat("|", 200_000) + "\n"))
			require.NoError(b, err)
			for b.Loop() {
				abc.Read(book[0])
			}
		})
	}
}
