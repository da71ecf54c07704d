package server

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"io"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"
)

// content is an answer of known size, any part of which can be had alone. What
// is written may be one of several parts: then it is told how many bytes of it
// will be asked for after these.
type content interface {
	Size() int64
	WriteRange(ctx context.Context, w io.Writer, offset, n, more int64) error
}

// text is content that is there already.
type text []byte

func (t text) Size() int64 { return int64(len(t)) }

func (t text) WriteRange(_ context.Context, w io.Writer, offset, n, _ int64) error {
	_, err := w.Write(t[offset : offset+n])
	return err
}

// answer is content and what its header fields say about it.
type answer struct {
	media string // with its charset, where it has one
	tag   string // strong entity tag
	file  string // the name it would be saved under
	keep  string // how long it is fresh; empty for as long as usual
	holds int    // bytes of memory until it is sent
	open  func() (content, error)
}

// entityTag makes a strong tag of everything an answer depends on.
func entityTag(parts ...string) string {
	sum := sha256.New()
	for _, p := range parts {
		sum.Write([]byte(strconv.Itoa(len(p)) + ":" + p))
	}
	return `"` + base64.RawURLEncoding.EncodeToString(sum.Sum(nil)[:18]) + `"`
}

// send answers with the content, a part of it, or word that it has not changed.
// Preconditions and ranges are those of GET (and HEAD); RFC 9110 gives them no
// use with POST here.
func (s *service) send(c echo.Context, a answer) error {
	r, h := c.Request(), c.Response().Header()
	h.Set("ETag", a.tag)
	h.Set("Cache-Control", cmp.Or(a.keep, keepUsual))
	if r.Method != http.MethodPost && unchanged(r, a.tag) {
		return c.NoContent(http.StatusNotModified)
	}
	whole, err := a.open()
	if err != nil {
		return err
	}
	a.open = nil // what it holds may go
	h.Set("Accept-Ranges", "bytes")
	h.Set("Content-Disposition", disposition(a.file))
	h.Set("Content-Type", a.media)
	if r.Method == http.MethodHead {
		h.Set("Content-Length", strconv.FormatInt(whole.Size(), 10))
		c.Response().WriteHeader(http.StatusOK)
		return nil
	}
	body, err := a.wanted(r, whole)
	if err != nil {
		return err
	}
	return s.write(c, body)
}

// unchanged says whether If-None-Match has the tag. The comparison is weak.
// ref: RFC 9110, section 13.1.2.
func unchanged(r *http.Request, tag string) bool {
	rest := strings.TrimSpace(strings.Join(r.Header.Values("If-None-Match"), ","))
	if rest == "*" {
		return true
	}
	for rest != "" {
		rest = strings.TrimPrefix(strings.TrimLeft(rest, " \t,"), "W/")
		end := strings.IndexByte(strings.TrimPrefix(rest, `"`), '"') + 2
		if !strings.HasPrefix(rest, `"`) || end < 2 {
			return false
		}
		if rest[:end] == tag {
			return true
		}
		rest = rest[end:]
	}
	return false
}

// body is what is written: some or all of the content.
type body struct {
	status int
	header map[string]string
	parts  []part
}

// part is a stretch of content with the text that stands before it.
type part struct {
	before string
	of     content
	at     span
}

func (b body) size() (n int64) {
	for _, p := range b.parts {
		n += int64(len(p.before)) + p.at.n
	}
	return n
}

// write sends a body of exactly the length it names. Where that fails before
// its first byte an error is answered; after it the connection is broken off,
// so that half an answer never looks like a whole one.
func (s *service) write(c echo.Context, b body) (err error) {
	ctx, end := s.cfg.Observer.Stage(context.WithoutCancel(c.Request().Context()), "write")
	defer func() { end(err) }()
	res := c.Response()
	for name, value := range b.header {
		res.Header().Set(name, value)
	}
	res.Header().Set("Content-Length", strconv.FormatInt(b.size(), 10))
	res.Status = b.status
	out := patient{res, http.NewResponseController(res), s.cfg.WriteRate}
	var more int64
	for _, p := range b.parts {
		more += p.at.n
	}
	for _, p := range b.parts {
		more -= p.at.n
		if err = p.write(ctx, out, more); err != nil {
			return s.breakOff(c, err)
		}
	}
	return nil
}

func (p part) write(ctx context.Context, w io.Writer, more int64) error {
	if p.at.n == 0 {
		_, err := io.WriteString(w, p.before)
		return err
	}
	return p.of.WriteRange(ctx, &led{w, p.before}, p.at.from, p.at.n, more)
}

// led is a writer that writes some text before all else, and that not before there
// is something else: until then an answer can still be refused.
type led struct {
	io.Writer
	before string
}

func (l *led) Write(b []byte) (int, error) {
	if l.before != "" {
		if _, err := io.WriteString(l.Writer, l.before); err != nil {
			return 0, err
		}
		l.before = ""
	}
	return l.Writer.Write(b)
}

func (s *service) breakOff(c echo.Context, err error) error {
	if !c.Response().Committed {
		return err
	}
	if c.Request().Context().Err() == nil {
		s.cfg.Log.Error("broken off", "id", c.Get(requestID), "route", c.Path(), "error", err)
	}
	panic(http.ErrAbortHandler)
}
