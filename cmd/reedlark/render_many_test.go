package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"reedlark/cmd/reedlark/batch"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tree lists the files in and under a folder, hidden ones too.
func tree(t *testing.T, folder string) (out []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		if !d.IsDir() {
			rel, err := filepath.Rel(folder, path)
			require.NoError(t, err)
			out = append(out, filepath.ToSlash(rel))
		}
		return nil
	}))
	return out
}

func TestTree(t *testing.T) {
	folder(t, map[string]string{
		"term/one.txt": good, "term/two.TAB": good, "term/bad.txt": bad, "term/notes.md": good, "term/unit 1/deep.txt": good,
	})
	got := call(t, "", "render", "term", "-o", "out/new")
	assert.Equal(t, 1, got.code)
	assert.Equal(t, []string{".reedlark-made", "one.wav", "two.wav", "unit 1/deep.wav"}, tree(t, "out/new"))
	assert.Contains(t, got.err, "wrote out/new/unit 1/deep.wav, ")
	_, end, found := strings.Cut(got.err, "term/bad.txt:1:6: error: ")
	require.True(t, found)
	assert.NotContains(t, end, "wrote", "the bad page is reported at the end")
	assert.True(t, strings.HasSuffix(end, "reedlark: 3 sounds made, 1 refused\n"), end)

	call(t, "", "render", "term")
	assert.Equal(t, []string{"bad.txt", "notes.md", "one.txt", "one.wav", "two.TAB", "two.wav", "unit 1/deep.txt", "unit 1/deep.wav"}, tree(t, "term"))
}

// The sounds of a batch are those of single calls, byte for byte.
func TestVersions(t *testing.T) {
	folder(t, map[string]string{"one.txt": "Harp: G\nTempo: 90\n" + good, "two.txt": good})
	got := call(t, "", "render", "one.txt", "two.txt", "-o", "out", "--harp", "Bb,low F,F#", "--tempo", "70%,100%,160", "--rate=22050")
	require.Equal(t, 0, got.code, got.err)
	assert.Len(t, names(t, "out"), 1+2*3*3)
	for out, args := range map[string]string{
		"one-Bb-70percent":       "one.txt --harp Bb --tempo 63",
		"one-low-F-100percent":   "one.txt --harp low-F --tempo 90",
		"one-F-sharp-160bpm":     "one.txt --harp F# --tempo 160",
		"two-F-sharp-70percent":  "two.txt --harp Gb --tempo 70",
		"two-Bb-100percent":      "two.txt --harp Bb",
		"two-low-F-70percent":    "two.txt --harp low-F --tempo 70",
		"../two-Bb-70percent":    "",
		"../one-F-sharp-160 bpm": "",
	} {
		made, err := os.ReadFile("out/" + out + ".wav")
		if args == "" {
			assert.ErrorIs(t, err, fs.ErrNotExist)
			continue
		}
		require.NoError(t, err)
		single := call(t, "", append([]string{"render", "-o", "-", "--rate=22050"}, strings.Fields(args)...)...)
		require.Equal(t, 0, single.code, single.err)
		assert.True(t, single.out == string(made), out)
	}
	require.Equal(t, 0, call(t, "", "render", "one.txt", "-o", "all", "--harp", "all", "--tempo", "200").code)
	var keys []string
	for _, name := range names(t, "all")[1:] {
		keys = append(keys, strings.TrimSuffix(strings.TrimPrefix(name, "one-"), ".wav"))
	}
	want := strings.Split(strings.ReplaceAll(strings.Join(twelve, " "), "F#", "F-sharp"), " ")
	assert.ElementsMatch(t, want, keys, "a tempo that all have is in no name")
}

// What is there is not made again, as long as it is what would be made.
func TestUnchanged(t *testing.T) {
	folder(t, map[string]string{"in/one.txt": good, "in/two.txt": good})
	render := func(args ...string) string {
		got := call(t, "", append([]string{"render", "in", "-o", "out", "--tempo", "70%"}, args...)...)
		require.Equal(t, 0, got.code, got.err)
		lines := strings.Split(strings.TrimSpace(got.err), "\n")
		return strings.TrimPrefix(lines[len(lines)-1], "reedlark: ")
	}
	const made, there, one = "2 sounds made", "0 sounds made, 2 there already", "1 sound made, 1 there already"
	assert.Equal(t, made, render())
	assert.Equal(t, there, render())
	require.NoError(t, os.Chtimes("in/one.txt", time.Now(), time.Now().Add(time.Hour)))
	assert.Equal(t, there, render(), "only the clock of the page is new")
	assert.Equal(t, made, render("--harp", "D"), "another setting")
	assert.Equal(t, made, render())
	require.NoError(t, os.WriteFile("in/one.txt", []byte(good+good), 0o644))
	assert.Equal(t, one, render(), "another page")
	require.NoError(t, os.Truncate("out/two.wav", 1000))
	assert.Equal(t, one, render(), "a sound cut short")
	require.NoError(t, os.Remove("out/two.wav"))
	assert.Equal(t, one, render(), "a sound gone")
	old, err := os.ReadFile("out/.reedlark-made")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile("out/.reedlark-made", append(old, `{"sound":"one.wav","asked":"`...), 0o644))
	assert.Equal(t, there, render(), "a line cut short")
	assert.Equal(t, there, render())
	require.NoError(t, os.Remove("out/.reedlark-made"))
	assert.Equal(t, made, render(), "nothing remembered")
}

func TestSaidBeforeAnyWork(t *testing.T) {
	pages := map[string]string{
		"in/a.txt": good, "in/a.tab": good, "in/sub/c.txt": good, "b/one.txt": good, "b/two.txt": good, "full/one.wav/x": "", "dev": "",
		"b/noise.txt": "\x00\x01\xff\xfe\x80", "b/latin.txt": "caf\xe9 chant\xe9\n4 5\n", "b/long.txt": strings.Repeat("4 ", 40000),
	}
	cases := []struct {
		args string
		code int
		says string
	}{
		{"in -o out", 2, "in/a.tab and in/a.txt would both become out/a.wav"},
		{"b/one.txt in/sub/../../b/one.txt -o out", 2, "would both become out/one.wav"},
		{"in -o in/sub/new", 2, "is inside the folder of the pages, in"},
		{"b -o link/out", 2, "is inside the folder of the pages, b"},
		{"b -o dev", 2, "do not fit into dev"},
		{"b -o -", 2, "do not fit into -"},
		{"b -o dev/sub", 3, "dev/sub cannot be made"},
		{"b --tempo 70%,fast", 2, `tempo is "fast"`},
		{"b --tempo %", 2, "a share of the page's tempo as 70%"},
		{"b --harp all,H", 2, `"H"`},
		{"b/one.txt --harp all --picture p.svg", 2, "a picture shows one harp"},
		{"b --picture p.svg", 2, "do not fit into one picture"},
	}
	for _, c := range cases {
		t.Run(c.args, func(t *testing.T) {
			folder(t, pages)
			require.NoError(t, os.Symlink("b", "link"))
			before := tree(t, ".")
			got := call(t, "", append([]string{"render"}, strings.Fields(c.args)...)...)
			assert.Equal(t, c.code, got.code, got.err)
			assert.Contains(t, got.err, c.says)
			assert.NotContains(t, got.err, "wrote")
			assert.Equal(t, before, tree(t, "."), "nothing is made")
		})
	}

	delete(pages, "in/a.tab")
	folder(t, pages)
	require.NoError(t, os.Symlink("..", "b/round"))
	require.NoError(t, os.Symlink("nowhere", "b/gone.txt"))
	got := call(t, "", "render", "b", "-o", "out")
	assert.Equal(t, 3, got.code)
	said, _, found := strings.Cut(got.err, "wrote")
	require.True(t, found)
	for _, says := range []string{
		"b/round/b: this link leads back", "b/gone.txt: this link leads to no file", "b/noise.txt: this is a binary file",
		"b/latin.txt: this is not UTF-8; it is read as Windows-1252", "b/long.txt: ",
	} {
		assert.Contains(t, said, says)
	}
	assert.Contains(t, names(t, "out"), "two.wav")
	assert.True(t, strings.HasSuffix(got.err, ", 4 pages could not be read\n"), got.err)
}

// A tempo that comes out of its range is the fault of the call, with one page.
func TestTempoOutOfRange(t *testing.T) {
	folder(t, map[string]string{"slow.txt": "Tempo: 25\n" + good, "usual.txt": good})
	got := call(t, "", "render", ".", "--tempo", "70%")
	assert.Equal(t, 2, got.code)
	assert.Contains(t, got.err, "slow.txt: 70 % of 25 beats a minute is 17.5")
	assert.Equal(t, []string{"slow.txt", "usual.txt", "usual.wav"}, names(t, "."))
}

func TestRenderInJSON(t *testing.T) {
	folder(t, map[string]string{"good.txt": good, "doubtful.txt": doubtful, "bad.txt": bad})
	require.Equal(t, 0, call(t, "", "render", "good.txt", "-o", "out/", "--json", "--harp", "D", "--tempo", "50%").code)
	got := call(t, "", "render", "good.txt", "doubtful.txt", "bad.txt", "none.txt", "-o", "out", "--json", "--harp", "D", "--tempo", "50%")
	assert.Equal(t, 2, got.code, got.err)
	lines := strings.Split(strings.TrimSpace(got.out), "\n")
	require.Len(t, lines, 5, "%s%s", got.out, got.err)
	assert.Contains(t, lines[0], `"page":"none.txt","became":"unreadable"`)
	became := map[string]soundLine{}
	for _, l := range lines[1:4] {
		var s soundLine
		require.NoError(t, json.Unmarshal([]byte(l), &s), l)
		assert.Equal(t, "D", s.Harp)
		assert.Equal(t, "50%", s.Tempo)
		assert.NotNil(t, s.Diagnostics)
		became[s.Page] = s
	}
	assert.Equal(t, "unchanged", became["good.txt"].Became)
	assert.Equal(t, filepath.Join("out", "good.wav"), became["good.txt"].Sound)
	assert.Equal(t, "made", became["doubtful.txt"].Became)
	assert.Greater(t, became["doubtful.txt"].Seconds, 3.0)
	assert.Equal(t, 3, became["doubtful.txt"].Diagnostics[0].Column)
	assert.Equal(t, "refused", became["bad.txt"].Became)
	assert.Equal(t, 6, became["bad.txt"].Diagnostics[0].Column)
	var sum struct{ Summary summary }
	require.NoError(t, json.Unmarshal([]byte(lines[4]), &sum))
	assert.Equal(t, summary{Unreadable: 1, Made: 1, Unchanged: 1, Refused: 1, Seconds: became["doubtful.txt"].Seconds}, sum.Summary)
}

// A failure of the whole disk, or of who reads the lines, stops the batch.
func TestHopeless(t *testing.T) {
	pages := map[string]string{}
	for n := range 40 {
		pages[fmt.Sprintf("in/%02d.txt", n)] = good
	}
	folder(t, pages)
	for _, err := range []error{syscall.ENOSPC, syscall.EPIPE} {
		var said bytes.Buffer
		code := run(t.Context(), strings.Fields("render in -o out --json"), nil, &broken{500, err}, &said)
		assert.Equal(t, 3, code)
		assert.Contains(t, said.String(), "not reached")
		assert.Contains(t, said.String(), err.Error())
		require.NoError(t, os.RemoveAll("out"))
	}
	assert.True(t, batch.Hopeless(fmt.Errorf("x: %w", &fs.PathError{Op: "write", Err: syscall.ENOSPC})))
	assert.False(t, batch.Hopeless(syscall.EACCES))
}

// Killed in the middle, ten times over, a batch goes on where it was: in the end
// every sound is there, whole, and nothing else.
func TestKilledAndResumed(t *testing.T) {
	pages := map[string]string{}
	for n := range 12 {
		pages[fmt.Sprintf("in/unit%d/%02d.txt", n%3, n)] = strings.Repeat(good, 8+n)
	}
	folder(t, pages)
	args := strings.Fields("render in -o out --harp C,low-F --tempo 70%,100% --rate 22050 --json")
	random := rand.New(rand.NewPCG(1, 2))
	for range 10 {
		cmd, said := program(t, args...)
		require.NoError(t, cmd.Start())
		time.Sleep(time.Duration(50+random.IntN(250)) * time.Millisecond)
		if cmd.Process.Kill() == nil {
			_ = cmd.Wait()
		}
		assert.NotContains(t, said.String(), "panic")
		for _, name := range tree(t, ".") {
			if filepath.Ext(name) == ".wav" {
				whole(t, name)
			}
		}
	}
	got := call(t, "", args...)
	require.Equal(t, 0, got.code, got.err)
	require.Equal(t, 0, call(t, "", strings.Fields("render in -o fresh --harp C,low-F --tempo 70%,100% --rate 22050")...).code)
	want := tree(t, "fresh")
	require.Len(t, want, 1+12*4)
	assert.Equal(t, want, tree(t, "out"), "nothing is left lying about")
	for _, name := range want[1:] {
		a, err := os.ReadFile(filepath.Join("out", name))
		require.NoError(t, err)
		b, err := os.ReadFile(filepath.Join("fresh", name))
		require.NoError(t, err)
		assert.True(t, bytes.Equal(a, b), name)
	}
	again := call(t, "", args...)
	assert.Contains(t, again.err, "0 sounds made, 48 there already")
}

// whole checks that a WAV file is as long as its header says. ref: RIFF, the
// size at byte 4 leaves out the first eight.
func whole(t *testing.T, name string) {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Greater(t, len(text), 44)
	size := int(text[4]) | int(text[5])<<8 | int(text[6])<<16 | int(text[7])<<24
	assert.Equal(t, size+8, len(text), name)
}

func TestInterruptedBatch(t *testing.T) {
	pages := map[string]string{}
	for n := range 10 {
		pages[fmt.Sprintf("in/%d.txt", n)] = lengthy
	}
	folder(t, pages)
	cmd, said := program(t, "render", "in", "-o", "out")
	require.NoError(t, cmd.Start())
	require.Eventually(t, func() bool {
		parts, err := filepath.Glob("out/.reedlark-*.part")
		return err == nil && len(parts) > 0
	}, processTime, time.Millisecond)
	require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
	require.Error(t, cmd.Wait(), said.String())
	assert.Equal(t, 3, cmd.ProcessState.ExitCode())
	assert.Contains(t, said.String(), "interrupted: ")
	for _, name := range tree(t, "out") {
		assert.NotContains(t, name, ".part")
	}
}

// Whatever is made next in a folder clears it.
func TestSweptByTheNextCall(t *testing.T) {
	for _, args := range []string{"render tune.txt", "render tune.txt -o tune.wav", "render tune.txt -o ./", "practice tune.txt --harp C --tempo 100%"} {
		folder(t, map[string]string{"tune.txt": good, ".reedlark-999999999-0.part": "half"})
		require.Equal(t, 0, call(t, "", strings.Fields(args)...).code)
		assert.NoFileExists(t, ".reedlark-999999999-0.part", args)
	}
}

func TestBatchOfNothing(t *testing.T) {
	folder(t, map[string]string{"notes.md": ""})
	require.NoError(t, os.Mkdir("in", 0o755))
	got := call(t, "", "render", "in", "-o", "out")
	assert.Equal(t, 2, got.code)
	assert.Contains(t, got.err, "no .txt and no .tab file in this folder")
	got = call(t, "", "render", "none.txt", "-o", "new/", "--json")
	assert.Equal(t, 2, got.code)
	assert.Equal(t, "{\"page\":\"none.txt\",\"became\":\"unreadable\",\"diagnostics\":[],\"error\":\"there is no such file\"}\n{\"summary\":{\"unreadable\":1,\"made\":0,\"unchanged\":0,\"refused\":0,\"failed\":0,\"left\":0,\"seconds\":0}}\n", got.out)
	assert.NoDirExists(t, "new")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	var out, said bytes.Buffer
	assert.Equal(t, 3, run(ctx, []string{"render", "-", "--harp", "all"}, strings.NewReader(""), &out, &said))
}

// A folder that -o names is made for one sound too, with what goes with it.
// A name that is no UTF-8 is one like any other: named, found in a folder, and
// known again the next time.
func TestNamesOfAnyBytes(t *testing.T) {
	folder(t, map[string]string{"in/caf\xe9.txt": good, "in/caf\xe8.txt": good})
	got := call(t, "", "render", "in/caf\xe9.txt")
	require.Equal(t, 0, got.code, got.err)
	assert.FileExists(t, "in/caf\xe9.wav")
	require.Equal(t, 0, call(t, "", "render", "in", "-o", "out\xff").code)
	got = call(t, "", "render", "in", "-o", "out\xff")
	assert.Contains(t, got.err, "0 sounds made, 2 there already", "%v", names(t, "out\xff"))
}

// A link in the place of the ledger would make us write to another file.
func TestALinkIsNoLedger(t *testing.T) {
	folder(t, map[string]string{"in/one.txt": good, "in/two.txt": good, "mine": "precious\n"})
	require.NoError(t, os.Mkdir("out", 0o755))
	require.NoError(t, os.Symlink("../mine", "out/.reedlark-made"))
	got := call(t, "", "render", "in", "-o", "out")
	assert.Equal(t, 3, got.code)
	assert.Contains(t, got.err, ".reedlark-made, the record of what was made: this is a link")
	assert.Equal(t, "precious\n", text(t, "mine"))
	assert.Equal(t, []string{".reedlark-made"}, names(t, "out"))
}

// ref: Microsoft, "Naming Files, Paths, and Namespaces".
func TestDevicesAreNoNames(t *testing.T) {
	folder(t, map[string]string{"in/con.txt": good, "aux/tune.txt": good, "set/NUL/tune.txt": good, "set/b.txt": good, "tune.txt": good})
	before := tree(t, ".")
	for args, says := range map[string]string{
		"render in/con.txt":              "in/con.wav cannot be made: Windows keeps this name for a device",
		"render in -o out":               "out/con.wav cannot be made",
		"render set -o out":              "out/NUL/tune.wav cannot be made",
		"render tune.txt -o COM1.wav":    "COM1.wav cannot be made",
		"render tune.txt -o lpt¹":        "cannot be made",
		"score tune.txt -o nul.json":     "nul.json: this is the name of a device",
		"rewrite tune.txt -o out/prn.md": "out/prn.md: this is the name of a device",
		"practice tune.txt -o Aux.zip":   "Aux.zip: this is the name of a device",
	} {
		got := call(t, "", strings.Fields(args)...)
		assert.Equal(t, 2, got.code, args)
		assert.Contains(t, got.err, says, args)
		assert.Equal(t, before, tree(t, "."), args)
	}
	assert.Equal(t, 0, call(t, "", "render", "aux/tune.txt").code, "a folder that is there is not a name that we choose")
}

// What is not remembered does not go on from where it was.
func TestWhatIsNotReached(t *testing.T) {
	assert.Equal(t, "0 sounds made, 2 not reached", summary{Left: 2}.String())
	assert.Equal(t, "0 sounds made, 2 not reached; run the command again to go on", summary{Left: 2, goesOn: true}.String())
}

func TestOneSoundInAFolder(t *testing.T) {
	folder(t, map[string]string{"tune.txt": good})
	got := call(t, "", strings.Fields("render tune.txt -o new/ --stems parts --backing drone --picture tune.svg")...)
	require.Equal(t, 0, got.code, got.err)
	assert.Equal(t, []string{"tune.wav"}, names(t, "new"))
	assert.Equal(t, []string{"tune.backing.wav", "tune.melody.wav"}, names(t, "parts"))
	assert.FileExists(t, "tune.svg")
	got = call(t, "", strings.Fields("render tune.txt -o mixed/ --over new/tune.wav")...)
	require.Equal(t, 0, got.code, got.err)
	assert.Equal(t, []string{"tune.wav"}, names(t, "mixed"))
}
