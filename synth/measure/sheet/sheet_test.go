package sheet_test

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"flag"
	"image/png"
	"io"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"reedlark/synth/measure/sheet"
)

var save = flag.String("save", "", "write the sheet of the tests to this file, to look at")

const rate = 48000

// scale is three notes, the last gliding down a tone, with gaps between.
func scale() ([]float64, []sheet.Wanted) {
	notes := []sheet.Wanted{
		{Start: 0.1, Seconds: 0.5, Hz: 523.25, FromHz: 523.25, Text: "4"},
		{Start: 0.6, Seconds: 0.5, Hz: 587.33, FromHz: 587.33, Text: "-4"},
		{Start: 1.1, Seconds: 0.6, Hz: 440, FromHz: 493.88, GlideSeconds: 0.4, Text: "-3//<&>"},
	}
	x := make([]float64, 2*rate)
	for _, n := range notes {
		phase := 0.0
		for i := int(n.Start * rate); i < int((n.Start+n.Seconds-0.03)*rate); i++ {
			u := min((float64(i)/rate-n.Start)/max(n.GlideSeconds, 1e-9), 1)
			phase += 2 * math.Pi * n.FromHz * math.Pow(n.Hz/n.FromHz, u*u*(3-2*u)) / rate
			x[i] = 0.2*math.Sin(phase) + 0.1*math.Sin(2*phase) + 0.2*math.Sin(3*phase)
		}
	}
	return x, notes
}

func draw(t *testing.T, x []float64, notes []sheet.Wanted) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, sheet.Sheet(&out, x, rate, notes))
	for d := xml.NewDecoder(bytes.NewReader(out.Bytes())); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return out.String()
		} else {
			require.NoError(t, err, "well-formed XML")
		}
	}
}

func TestSheet(t *testing.T) {
	x, notes := scale()
	svg := draw(t, x, notes)
	if *save != "" {
		require.NoError(t, os.WriteFile(*save, []byte(svg), 0o644))
	}
	assert.True(t, strings.Contains(svg, "-3//&lt;&amp;&gt;"), "words are escaped")
	assert.True(t, strings.Contains(svg, ">2 s · loudness −13"), "figures")
	assert.False(t, strings.Contains(svg, `"NaN`) || strings.Contains(svg, `,NaN`), "every place is a number")
}

// The ink of the deviation panel stays near its middle when the pitch is right,
// and leaves it by the right amount when it is not.
func TestDeviationIsDrawn(t *testing.T) {
	x, notes := scale()
	assert.InDelta(t, 0, deviation(draw(t, x, notes)), 1)
	for i := range notes {
		ratio := math.Pow(2, 20.0/1200)
		notes[i].Hz, notes[i].FromHz = notes[i].Hz*ratio, notes[i].FromHz*ratio
	}
	assert.InDelta(t, -20, deviation(draw(t, x, notes)), 1)
}

// deviation is the median cents of the ink in the deviation panel, whose zero line is
// the last ochre line and which is 110 pixels high for 100 cents.
func deviation(svg string) float64 {
	zero := regexp.MustCompile(`<line x1="64" y1="([\d.]+)"[^>]*#e0a53b`).FindStringSubmatch(svg)
	middle, _ := strconv.ParseFloat(zero[1], 64)
	var off []float64
	for _, line := range regexp.MustCompile(`<polyline points="([^"]*)" stroke="#1d3d45"`).FindAllStringSubmatch(svg, -1) {
		for _, place := range strings.Fields(line[1]) {
			_, text, _ := strings.Cut(place, ",")
			y, _ := strconv.ParseFloat(text, 64)
			if math.Abs(y-middle) <= 55 {
				off = append(off, (middle-y)/1.1)
			}
		}
	}
	slices.Sort(off)
	return off[len(off)/2]
}

// Two voices that take turns are one track, off the nearer of the two.
func TestShakeIsOneTrack(t *testing.T) {
	x := make([]float64, rate)
	for i := range x {
		hz := []float64{523.25, 659.26}[i/4800%2]
		x[i] = 0.3 * math.Sin(2*math.Pi*hz*float64(i)/rate)
	}
	notes := []sheet.Wanted{{Seconds: 1, Hz: 523.25, Text: "45~", Shake: true}, {Seconds: 1, Hz: 659.26, Text: "45~", Shake: true}}
	assert.InDelta(t, 0, deviation(draw(t, x, notes)), 1)
	notes[0].Hz *= 0.99
	notes[1].Hz *= 0.99
	assert.InDelta(t, 17.4, deviation(draw(t, x, notes)), 1)
}

func TestSpectrogramHasInkWhereTheToneIs(t *testing.T) {
	x, _ := scale()
	svg := draw(t, x, nil)
	_, data, _ := strings.Cut(svg, "data:image/png;base64,")
	data, _, _ = strings.Cut(data, `"`)
	raw, err := base64.StdEncoding.DecodeString(data)
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(raw))
	require.NoError(t, err)
	at := int(0.35 / 2 * float64(img.Bounds().Dx()))
	row := func(hz float64) int {
		return 249 - int(250*math.Log2(hz/120)/math.Log2(14000.0/120))
	}
	ink, _, _, _ := img.At(at, row(523.25*3)).RGBA()
	white, _, _, _ := img.At(at, row(8000)).RGBA()
	assert.Less(t, ink>>8, uint32(60), "third partial")
	assert.Greater(t, white>>8, uint32(230), "nothing at 8 kHz")
}

func TestSheetOfNextToNothing(t *testing.T) {
	assert.Contains(t, draw(t, nil, nil), "loudness none")
	assert.Contains(t, draw(t, make([]float64, 100), []sheet.Wanted{{Start: 5, Seconds: 1, Hz: 440, Text: "4"}}), "</svg>")
}

func TestErrorOfTheWriter(t *testing.T) {
	assert.ErrorIs(t, sheet.Sheet(broken{}, make([]float64, 100), rate, nil), io.ErrClosedPipe)
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }
