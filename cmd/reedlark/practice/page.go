package practice

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"math"
)

//go:embed index.html
var index string

// harp is the sounds of one harp, as the page has them together.
type harp struct {
	Name   string
	Sounds []Sound
}

// Harps are the sounds of a lesson by their harps, in order.
func (l lesson) Harps() []harp {
	var out []harp
	for _, s := range l.Sounds {
		if last := len(out) - 1; last < 0 || out[last].Name != s.Harp {
			out = append(out, harp{Name: s.Harp})
		}
		last := len(out) - 1
		out[last].Sounds = append(out[last].Sounds, s)
	}
	return out
}

// Clock is the length of the sound in minutes and seconds.
func (s Sound) Clock() string {
	whole := int(math.Round(s.Seconds))
	return fmt.Sprintf("%d:%02d", whole/60, whole%60)
}

// page is the page that plays the sounds. It says how many are missing, where the
// set was interrupted.
func page(title string, lessons []lesson, missing int) ([]byte, error) {
	t, err := template.New("index").Parse(index)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = t.Execute(&out, struct {
		Title   string
		Lessons []lesson
		Missing int
	}{title, lessons, missing})
	return out.Bytes(), err
}
