package api

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"io"
	"strings"
)

// linkCode is base64url without padding, and strict: one text for one link.
// ref: RFC 4648, sections 5 and 3.5.
var linkCode = base64.RawURLEncoding.Strict()

// Link is the request as one piece of text: its canonical JSON in raw DEFLATE
// (RFC 1951), in base64url. It fails when that is over MaxLink characters; such
// a tab can only be posted.
func (r Request) Link() (string, error) {
	var packed bytes.Buffer
	w, err := flate.NewWriter(&packed, flate.BestCompression)
	if err != nil {
		return "", err
	}
	if _, err := io.WriteString(w, r.Canonical()); err != nil {
		return "", err
	}
	if err := w.Close(); err != nil {
		return "", err
	}
	z := linkCode.EncodeToString(packed.Bytes())
	if len(z) > MaxLink {
		return "", tooLongLink()
	}
	return z, nil
}

// FromLink reads a whole request from a link. The error is a *CallError.
func FromLink(z string) (Request, error) {
	if len(z) > MaxLink {
		return Request{}, tooLongLink()
	}
	body, err := inflate(z)
	if err != nil {
		return Request{}, err
	}
	pairs, err := splitJSON(body)
	if err != nil {
		return Request{}, err
	}
	if err := known(pairs, names()); err != nil {
		return Request{}, err
	}
	return assign(present(pairs))
}

func tooLongLink() error {
	return &CallError{Kind: TooLarge, Parameter: linkName, Detail: "z is too long: it may have 6,000 characters; post the tab instead"}
}

// inflate unpacks a link, at most MaxInflated bytes of it.
func inflate(z string) ([]byte, error) {
	packed, err := linkCode.DecodeString(z)
	if err != nil || strings.ContainsAny(z, "\r\n") { // which the decoder would skip
		return nil, malformed(linkName, "z is no base64url without padding")
	}
	in := bytes.NewReader(packed)
	body, err := io.ReadAll(io.LimitReader(flate.NewReader(in), MaxInflated+1))
	switch {
	case err != nil:
		return nil, malformed(linkName, "z is no raw DEFLATE, or it is cut short")
	case len(body) > MaxInflated:
		return nil, &CallError{Kind: TooLarge, Parameter: linkName, Detail: "z is too large: it may be 96 KiB inflated"}
	case in.Len() > 0:
		return nil, malformed(linkName, "z has bytes after its end")
	}
	return body, nil
}
