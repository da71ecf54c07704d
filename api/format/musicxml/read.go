package musicxml

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"reedlark/tab/melody"
)

// The bounds of what is read. A file that breaks one is refused.
const (
	MostInflated = 32 << 20 // bytes of a score in a zip file
	mostDepth    = 100      // elements in elements
	mostParts    = 1000     // parts, and voices of a part
	mostMeasures = 100_000
)

// Read reads a score, as XML or zipped (.mxl): its parts, each voice a tune of its
// own. Both forms of a score are read, by parts and by measures. What the format
// says of the instrument's holes is kept as fingerings where Reedlark wrote it.
//
// A document type is not fetched, and one with declarations of its own is refused,
// as are entities other than the five of XML. The error names the measure or the
// line, and what was expected.
func Read(data []byte) ([]*melody.Tune, error) {
	data, err := unzip(data)
	if err != nil {
		return nil, err
	}
	text, err := toUTF8(data)
	if err != nil {
		return nil, err
	}
	r := &reader{dec: xml.NewDecoder(strings.NewReader(text)), parts: map[string]*partReader{}}
	r.dec.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil } // it is UTF-8 by now
	if err := r.read(); err != nil {
		return nil, r.placed(err)
	}
	return r.finish()
}

// reader goes through a file.
type reader struct {
	dec              *xml.Decoder
	names            []partName
	parts            map[string]*partReader
	order            []string // of the parts
	title            string
	within           []string // the elements that are open, from the root
	number, implicit string   // of the measure being read
	attr             string   // the id of the part that is open
}

// partName is a part as the list of parts has it.
type partName struct{ id, name string }

// placed says where an error is.
func (r *reader) placed(err error) error {
	line, _ := r.dec.InputPos()
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		return fmt.Errorf("line %d: the XML is broken: %s", syntax.Line, syntax.Msg)
	}
	if r.number != "" {
		return fmt.Errorf("measure %s, line %d: %w", r.number, line, err)
	}
	return fmt.Errorf("line %d: %w", line, err)
}

// read reads all elements.
func (r *reader) read() error {
	for {
		token, err := r.dec.Token()
		if errors.Is(err, io.EOF) {
			return r.ended()
		}
		if err != nil {
			return err
		}
		switch t := token.(type) {
		case xml.Directive:
			if strings.Contains(string(t), "[") {
				return errors.New("the document type has declarations of its own; leave it out")
			}
		case xml.StartElement:
			if err := r.open(t); err != nil {
				return err
			}
		case xml.EndElement:
			r.within = r.within[:len(r.within)-1]
		}
	}
}

func (r *reader) ended() error {
	if len(r.order) == 0 {
		return errors.New("there is no part; a score has <score-partwise> or <score-timewise> with parts and measures")
	}
	return nil
}

// open reads what begins with an element.
func (r *reader) open(e xml.StartElement) error {
	name := e.Name.Local
	if len(r.within) == 0 && name != "score-partwise" && name != "score-timewise" {
		return fmt.Errorf("the file begins with <%s>; a score begins with <score-partwise> or <score-timewise>", name)
	}
	switch {
	case name == "score-part":
		return r.scorePart(e)
	case name == "work-title" || name == "movement-title":
		return r.heading(e)
	case name == "measure" && r.inside() == "part":
		part, err := r.part(r.attr)
		if err != nil {
			return err
		}
		return r.measure(e, part, attribute(e, "number"), attribute(e, "implicit"))
	case name == "part" && r.inside() == "measure":
		part, err := r.part(attribute(e, "id"))
		if err != nil {
			return err
		}
		return r.measure(e, part, r.number, r.implicit)
	case name == "part":
		r.attr = attribute(e, "id")
	case name == "measure":
		r.number, r.implicit = attribute(e, "number"), attribute(e, "implicit")
	}
	if r.within = append(r.within, name); len(r.within) > mostDepth {
		return fmt.Errorf("elements lie more than %d deep", mostDepth)
	}
	return nil
}

// inside is the element that is open.
func (r *reader) inside() string {
	if len(r.within) == 0 {
		return ""
	}
	return r.within[len(r.within)-1]
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (r *reader) scorePart(e xml.StartElement) error {
	var p struct {
		ID   string `xml:"id,attr"`
		Name string `xml:"part-name"`
	}
	err := r.dec.DecodeElement(&p, &e)
	r.names = append(r.names, partName{p.ID, strings.TrimSpace(p.Name)})
	return err
}

// heading reads a title; that of the work wins over that of the movement, which
// stands behind it.
func (r *reader) heading(e xml.StartElement) error {
	var text string
	err := r.dec.DecodeElement(&text, &e)
	if r.title == "" {
		r.title = strings.TrimSpace(text)
	}
	return err
}

// part is the part with an id; one that is met for the first time begins.
func (r *reader) part(id string) (*partReader, error) {
	if p := r.parts[id]; p != nil {
		return p, nil
	}
	if len(r.order) >= mostParts {
		return nil, fmt.Errorf("there are more than %d parts", mostParts)
	}
	p := newPart()
	for _, n := range r.names {
		if n.id == id {
			p.name = n.name
		}
	}
	r.parts[id], r.order = p, append(r.order, id)
	return p, nil
}

// measure reads a measure of a part.
func (r *reader) measure(e xml.StartElement, p *partReader, number, implicit string) error {
	r.number = number
	if len(p.bars) >= mostMeasures {
		return fmt.Errorf("there are more than %d measures", mostMeasures)
	}
	var m struct {
		Items []element `xml:",any"`
	}
	line, _ := r.dec.InputPos()
	if err := r.dec.DecodeElement(&m, &e); err != nil {
		return err
	}
	return p.measure(m.Items, number, implicit == "yes", line)
}

// finish gives the tunes, part by part.
func (r *reader) finish() (out []*melody.Tune, err error) {
	for _, id := range r.order {
		for _, t := range r.parts[id].finish() {
			t.Title = r.title
			out = append(out, t)
		}
	}
	return out, nil
}
