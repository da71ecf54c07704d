package httpx

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
)

// span is a stretch of bytes.
type span struct{ from, n int64 }

func (s span) of(size int64) string {
	return fmt.Sprintf("bytes %d-%d/%d", s.from, s.from+s.n-1, size)
}

// maxRanges is how many ranges one answer has; who asks for more gets the
// whole. ref: RFC 9110, section 14.2, lets a server ignore many small ranges.
const maxRanges = 8

// RangeError says that no range lies in the content, which has Size bytes.
type RangeError struct{ Size int64 }

func (e RangeError) Error() string {
	return fmt.Sprintf("no range lies in the %d bytes there are", e.Size)
}

var errSyntax = errors.New("not a set of byte ranges")

// selected is the part of the content a GET asks for.
func (a Answer) selected(r *http.Request, whole Content) (Body, error) {
	all := Body{status: http.StatusOK, parts: []part{{of: whole, at: span{0, whole.Size()}}}}
	values := r.Header.Values("Range")
	if r.Method != http.MethodGet || len(values) != 1 || !a.sameAs(r.Header.Values("If-Range")) {
		return all, nil
	}
	spans, ok := byteRanges(values[0], whole.Size())
	switch {
	case !ok || len(spans) > maxRanges || overlap(spans):
		return all, nil
	case len(spans) == 0:
		return Body{}, RangeError{whole.Size()}
	case len(spans) == 1:
		return one(whole, spans[0]), nil
	}
	return a.several(whole, spans), nil
}

// sameAs says whether ranges belong to this very content: If-Range is absent or
// has its tag. A date never fits, since nothing here has one.
// ref: RFC 9110, section 13.1.5.
func (a Answer) sameAs(ifRange []string) bool {
	return len(ifRange) == 0 || len(ifRange) == 1 && strings.TrimSpace(ifRange[0]) == a.Tag
}

func one(whole Content, s span) Body {
	return Body{
		status: http.StatusPartialContent,
		header: map[string]string{"Content-Range": s.of(whole.Size())},
		parts:  []part{{of: whole, at: s}},
	}
}

// several is a multipart body. ref: RFC 9110, section 14.6.
func (a Answer) several(whole Content, spans []span) Body {
	boundary := strings.Trim(a.Tag, `"`) // as unlikely in the content as any other hash
	b := Body{
		status: http.StatusPartialContent,
		header: map[string]string{"Content-Type": "multipart/byteranges; boundary=" + boundary},
	}
	for _, s := range spans {
		head := "\r\n--" + boundary + "\r\nContent-Type: " + a.Media + "\r\nContent-Range: " + s.of(whole.Size()) + "\r\n\r\n"
		b.parts = append(b.parts, part{before: head, of: whole, at: s})
	}
	b.parts = append(b.parts, part{before: "\r\n--" + boundary + "--\r\n"})
	return b
}

// byteRanges reads a Range field and keeps what lies in size bytes. False says
// that the field is to be ignored: it is malformed, or in another unit.
// ref: RFC 9110, sections 14.1.1 and 14.1.2.
func byteRanges(field string, size int64) (spans []span, ok bool) {
	unit, set, _ := strings.Cut(field, "=")
	if !strings.EqualFold(strings.TrimSpace(unit), "bytes") {
		return nil, false
	}
	named := 0
	for spec := range strings.SplitSeq(set, ",") {
		spec = strings.Trim(spec, " \t")
		if spec == "" {
			continue // an empty list element, RFC 9110, section 5.6.1.2
		}
		s, err := byteRange(spec, size)
		if err != nil {
			return nil, false
		}
		named++
		if s.n > 0 {
			spans = append(spans, s)
		}
	}
	return spans, named > 0
}

// byteRange reads one range, `2-5`, `2-` or `-5`; its length is 0 where it lies
// outside.
func byteRange(spec string, size int64) (span, error) {
	first, last, dash := strings.Cut(spec, "-")
	if !dash {
		return span{}, errSyntax
	}
	if first == "" {
		n, err := bytePosition(last)
		n = min(n, size)
		return span{size - n, n}, err
	}
	from, err := bytePosition(first)
	if err != nil || from >= size && last == "" {
		return span{}, err
	}
	to := size - 1
	if last != "" {
		if to, err = bytePosition(last); err != nil || to < from {
			return span{}, errSyntax
		}
	}
	return span{from, max(0, min(to, size-1)-from+1)}, nil
}

// bytePosition reads a position. One too large for any file is past the end.
func bytePosition(digits string) (int64, error) {
	if digits == "" || strings.Trim(digits, "0123456789") != "" {
		return 0, errSyntax
	}
	n, err := strconv.ParseInt(digits, 10, 62)
	if errors.Is(err, strconv.ErrRange) {
		return 1 << 61, nil
	}
	return n, err
}

func overlap(spans []span) bool {
	for i, s := range spans {
		for _, t := range spans[:i] {
			if s.from < t.from+t.n && t.from < s.from+s.n {
				return true
			}
		}
	}
	return false
}
