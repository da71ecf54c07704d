//go:build outside

package api_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/openapi"
	"reedlark/synth/measure"
	"reedlark/tab/diag"
)

// saved writes a sound to a file that other programs can read.
func (h heard) saved(t *testing.T) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "tune.wav")
	require.NoError(t, os.WriteFile(name, h.file, 0o600))
	return name
}

// said is what a program wrote, to either place; it must not fail.
func said(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, "%s %v: %s", name, args, out)
	return string(out)
}

// everyReed is a tab of every reed, bend and over of a Richter harp, the rare ones
// too, and its semitones over hole-1 blow: only the higher reed of a hole bends, no
// lower than a semitone over the other; an over lies a semitone over the higher.
func everyReed() (tab string, semitones []int) {
	var b strings.Builder
	add := func(written string, semitone int) {
		b.WriteString(written + " ")
		semitones = append(semitones, semitone)
	}
	for i := range 10 {
		hole, high, low, sign, other := strconv.Itoa(i+1), draw[i], blow[i], "-", ""
		if blow[i] > draw[i] {
			high, low, sign, other = blow[i], draw[i], "", "-"
		}
		add(sign+hole, high)
		add(other+hole, low)
		for depth := 1; high-depth > low; depth++ {
			add(sign+hole+strings.Repeat("/", depth), high-depth)
		}
		add(other+hole+"*", high+1)
	}
	return b.String(), semitones
}

// everyHarp is the twelve usual harps, the low ones that are sold, a high G, and the
// two ends of what can be asked for.
func everyHarp() map[string]int {
	all := map[string]int{"high G": 67, "high F#": 78}
	for key, base := range keys {
		all[key] = base
	}
	for _, key := range []string{"F#", "F", "E", "Eb", "D", "C", "A", "G"} {
		all["low "+key] = keys[key] - 12
	}
	return all
}

// Every reed, bend and over of every harp is within 2 cents in its steady part by two
// trackers that share nothing: ours (time and phase) and aubio's mcomb (spectrum), which is
// good to 0.1 cent on sums of sines like a reed's.
func TestEveryReedOfEveryHarpByTwoTrackers(t *testing.T) {
	tab, semitones := everyReed()
	require.Len(t, semitones, 20+12+10, "reeds, bends and overs")
	for harp, base := range everyHarp() {
		h := hear(t, tab, "harp", harp)
		frames := aubio(t, h)
		worst := [2]float64{}
		for i, n := range h.score.Notes {
			want := hertz(base + semitones[i])
			ours := math.Abs(measure.Cents(measure.Pitch(h.steady(n), h.rate), want))
			theirs := math.Abs(measure.Cents(frames.during(n), want))
			assert.LessOrEqual(t, ours, 2.0, "%s on %s", n.Text, harp)
			assert.LessOrEqual(t, theirs, 2.0, "%s on %s by aubio", n.Text, harp)
			worst = [2]float64{max(worst[0], ours), max(worst[1], theirs)}
		}
		t.Logf("%-8s worst %.2f cent, by aubio %.2f", harp, worst[0], worst[1])
	}
}

// The window and the hop of aubio's tracker, frames.
const (
	aubioWindow = 4096
	aubioHop    = 512
)

// aubioFrames are its answers, one each hop, hertz.
type aubioFrames struct {
	hz   []float64
	rate int
}

func aubio(t *testing.T, h heard) aubioFrames {
	out := said(t, "aubiopitch", "-p", "mcomb", "-B", fmt.Sprint(aubioWindow), "-H", fmt.Sprint(aubioHop), "-i", h.saved(t))
	f := aubioFrames{rate: h.rate}
	for line := range strings.Lines(out) {
		hz, err := strconv.ParseFloat(strings.Fields(line)[1], 64)
		require.NoError(t, err)
		f.hz = append(f.hz, hz)
	}
	return f
}

// during is the median of the answers whose whole window lies in a note's steady part.
func (f aubioFrames) during(n openapi.Note) float64 {
	from := n.Start + max(0.4*n.Seconds, n.Voices[0].GlideSeconds+0.05)
	to := n.Start + 0.75*n.Seconds
	var hz []float64
	for i, v := range f.hz {
		end := (i + 1) * aubioHop
		if float64(end-aubioWindow) >= from*float64(f.rate) && float64(end) <= to*float64(f.rate) {
			hz = append(hz, v)
		}
	}
	if len(hz) == 0 {
		return 0
	}
	slices.Sort(hz)
	return hz[len(hz)/2]
}

// randomTune is a tab of notes, chords, bends, rests and rhythms, and settings to go
// with it, the same for the same seed; over 3 s long.
func randomTune(seed uint64) (string, []string) {
	r := rand.New(rand.NewPCG(seed, 1))
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	var b strings.Builder
	for i := range 24 + r.IntN(60) {
		b.WriteString(pick("4", "-4", "5", "-5", "6", "-6", "7", "-7", "-8", "8", "1", "-1", "2", "-2", "3", "-3", "9", "-10", "10",
			"45", "-45", "123", "456", "14", "-2345", "-3/", "-2//", "8/", "4*", "r", "-4~", "45~", "{4 -4}", "{5 r 5}", "4--", "-3---", "4 -> 6", "(5)6", ","))
		b.WriteString(pick(" ", " ", " ", " | "))
		if i%12 == 11 {
			b.WriteString("4\n")
		}
	}
	b.WriteString(" 4 -4")
	harps := []string{"G", "A", "Bb", "C", "D", "Eb", "F", "F#", "low D", "low G", "high G"}
	return b.String(), []string{
		"harp", pick(harps...), "tempo", fmt.Sprint(60 + r.IntN(140)), "room", pick("0", "0.15", "0.5", "1"),
		"loudness", fmt.Sprint(-30 + r.IntN(15)), "rate", pick("22050", "44100", "48000"), "depth", pick("16", "24"),
		"channels", pick("1", "2"), "tuning", pick("equal", "just", "compromise"), "click", pick("true", "false", "false"),
	}
}

// The loudness of 200 random tunes is within 0.5 LU of what was asked for and their true
// peak at most -1 dBTP, by ffmpeg's meter, and ours agrees with it within 0.1.
func TestLoudnessAndPeakByFFmpeg(t *testing.T) {
	worst, loudest, warned := 0.0, math.Inf(-1), 0
	for seed := range uint64(200) {
		tab, settings := randomTune(seed)
		h := hear(t, tab, settings...)
		require.Greater(t, h.score.Seconds, 3.0)
		lufs, peak := ebur128(t, h)
		loudest = max(loudest, peak)
		assert.LessOrEqual(t, peak, -1.0, "seed %d %v", seed, settings)
		assert.InDelta(t, lufs, measure.Integrated(h.channels, h.rate), 0.1, "seed %d: two meters", seed)
		if softer(h.score) {
			warned++
			continue
		}
		want, err := strconv.ParseFloat(settings[7], 64)
		require.NoError(t, err)
		worst = max(worst, math.Abs(lufs-want))
		assert.InDelta(t, want, lufs, 0.5, "seed %d %v", seed, settings)
	}
	assert.Less(t, warned, 3, "hardly a tune is too peaky for its loudness")
	t.Logf("worst %.2f LU, highest %.1f dBTP, %d warned", worst, loudest, warned)
}

// softer says the score warns that the peak left no room for the loudness.
func softer(s openapi.Score) bool {
	return slices.ContainsFunc(s.Diagnostics, func(d diag.Diagnostic) bool {
		return string(d.Code) == string(diag.LoudnessMissed)
	})
}

// ebur128 is the integrated loudness, LUFS, and the true peak, dBTP, by ffmpeg.
func ebur128(t *testing.T, h heard) (lufs, peak float64) {
	out := said(t, "ffmpeg", "-nostdin", "-hide_banner", "-nostats", "-i", h.saved(t), "-af", "ebur128=peak=true", "-f", "null", "-")
	summary := out[strings.LastIndex(out, "Summary:"):]
	figure := func(label string) float64 {
		m := regexp.MustCompile(label + `:\s+(-?[\d.]+)`).FindStringSubmatch(summary)
		require.NotNil(t, m, summary)
		v, err := strconv.ParseFloat(m[1], 64)
		require.NoError(t, err)
		return v
	}
	return figure("I"), figure("Peak")
}

// ffprobe and sox read the file as what it says it is, and find every frame.
func TestFileReadByOthers(t *testing.T) {
	for _, rate := range []string{"22050", "44100", "48000"} {
		for _, depth := range []string{"16", "24"} {
			for _, channels := range []string{"1", "2"} {
				h := hear(t, "4 -4 5", "rate", rate, "depth", depth, "channels", channels)
				var probe struct {
					Streams []struct {
						Codec    string `json:"codec_name"`
						Rate     string `json:"sample_rate"`
						Channels int    `json:"channels"`
						Frames   int    `json:"duration_ts"`
					}
				}
				name := h.saved(t)
				require.NoError(t, json.Unmarshal([]byte(said(t, "ffprobe", "-v", "error", "-show_streams", "-of", "json", name)), &probe))
				s := probe.Streams[0]
				assert.Equal(t, []string{"pcm_s" + depth + "le", rate, channels}, []string{s.Codec, s.Rate, fmt.Sprint(s.Channels)})
				assert.Len(t, h.channels[0], s.Frames)
				assert.Equal(t, fmt.Sprint(s.Frames), strings.TrimSpace(said(t, "soxi", "-s", name)))
				assert.Equal(t, depth, strings.TrimSpace(said(t, "soxi", "-b", name)))
				assert.NotContains(t, said(t, "sox", name, "-n", "stat"), "WARN")
			}
		}
	}
}
