package httpx

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"io"
	"net/http"
	"strconv"
)

// Content is an answer of known size, any part of which can be sent alone.
// WriteRange writes n bytes from an offset on; where several ranges were asked
// for, more is how many bytes of the ranges after this one will follow.
type Content interface {
	Size() int64
	WriteRange(ctx context.Context, w io.Writer, offset, n, more int64) error
}

// Bytes is content that is at hand.
type Bytes []byte

// Size is the number of bytes.
func (b Bytes) Size() int64 { return int64(len(b)) }

// WriteRange writes n bytes from an offset on.
func (b Bytes) WriteRange(_ context.Context, w io.Writer, offset, n, _ int64) error {
	_, err := w.Write(b[offset : offset+n])
	return err
}

// Answer is content and what its header fields say about it.
type Answer struct {
	Media        string // with its charset, if it has one
	Tag          string // strong entity tag
	File         string // the name it is saved under
	CacheControl string
	Open         func() (Content, error) // called once, unless the tag answers the request
}

// EntityTag is a strong tag of everything an answer depends on.
func EntityTag(parts ...string) string {
	sum := sha256.New()
	for _, p := range parts {
		sum.Write([]byte(strconv.Itoa(len(p)) + ":" + p))
	}
	return `"` + base64.RawURLEncoding.EncodeToString(sum.Sum(nil)[:18]) + `"`
}

// Body is what is to be written: some or all of the content.
type Body struct {
	status int
	header map[string]string
	parts  []part
}

// part is a range of content and the text before it.
type part struct {
	before string
	of     Content
	at     span
}

func (b Body) size() (n int64) {
	for _, p := range b.parts {
		n += int64(len(p.before)) + p.at.n
	}
	return n
}

// Select sets the header fields of an answer and opens its content, as far as the
// preconditions and the method let it: nil where there is nothing to write. It
// fails with [ErrPrecondition], a [RangeError], or as Open does. If-None-Match and
// ranges count for GET and HEAD alone; RFC 9110 gives them no use with POST here.
func Select(w http.ResponseWriter, r *http.Request, a Answer) (*Body, error) {
	if err := CheckPreconditions(r, a.Tag); err != nil {
		return nil, err
	}
	h := w.Header()
	h.Set("ETag", a.Tag)
	h.Set("Cache-Control", a.CacheControl)
	if r.Method != http.MethodPost && unchanged(r, a.Tag) {
		w.WriteHeader(http.StatusNotModified)
		return nil, nil
	}
	whole, err := a.Open()
	if err != nil {
		return nil, err
	}
	h.Set("Accept-Ranges", "bytes")
	h.Set("Content-Disposition", Disposition(a.File))
	h.Set("Content-Type", a.Media)
	if r.Method == http.MethodHead {
		h.Set("Content-Length", strconv.FormatInt(whole.Size(), 10))
		w.WriteHeader(http.StatusOK)
		return nil, nil
	}
	b, err := a.selected(r, whole)
	return &b, err
}

// WriteTo sends a body of exactly the length it names, to a reader who takes at
// least rate bytes a second. The status is sent with the first byte: a failure
// before it can still be answered.
func (b *Body) WriteTo(ctx context.Context, w http.ResponseWriter, rate int) error {
	for name, value := range b.header {
		w.Header().Set(name, value)
	}
	w.Header().Set("Content-Length", strconv.FormatInt(b.size(), 10))
	out := &prefixWriter{w: deadlineWriter{w, http.NewResponseController(w), rate}, start: func() { w.WriteHeader(b.status) }}
	more := int64(0)
	for _, p := range b.parts {
		more += p.at.n
	}
	for _, p := range b.parts {
		more -= p.at.n
		out.prefix = p.before
		var err error
		if p.at.n > 0 {
			err = p.of.WriteRange(ctx, out, p.at.from, p.at.n, more)
		} else {
			_, err = out.Write(nil)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
