package server

import (
	"net/http"
	"strconv"
	"strings"

	"reedlark/api"
)

// accepts says whether the Accept fields of a request would take a media type.
// The most specific range decides; none at all takes everything. What cannot
// be read is skipped. ref: RFC 9110, section 12.5.1.
func accepts(r *http.Request, media string) bool {
	best, quality, said := -1, 1.0, false
	for part := range strings.SplitSeq(strings.Join(r.Header.Values("Accept"), ","), ",") {
		want, q, ok := mediaRange(part)
		if !ok {
			continue
		}
		said = true
		if s := specificity(want, media); s > best || s == best && q > quality {
			best, quality = s, q
		}
	}
	return !said || best >= 0 && quality > 0
}

// mediaRange reads one range and its quality; other parameters are of no
// account, since no representation differs by them.
func mediaRange(part string) (media string, q float64, ok bool) {
	params := strings.Split(part, ";")
	media, q = strings.ToLower(strings.TrimSpace(params[0])), 1
	main, sub, slash := strings.Cut(media, "/")
	if !slash || main == "" || sub == "" {
		return "", 0, false
	}
	for _, p := range params[1:] {
		name, value, _ := strings.Cut(p, "=")
		if strings.EqualFold(strings.TrimSpace(name), "q") {
			q, ok = qvalue(strings.TrimSpace(value))
			return media, q, ok
		}
	}
	return media, q, true
}

// qvalue is a weight from 0 to 1 with at most three decimals.
// ref: RFC 9110, section 12.4.2.
func qvalue(text string) (float64, bool) {
	if len(text) == 0 || len(text) > len("0.000") || strings.Trim(text, "0123456789.") != "" {
		return 0, false
	}
	q, err := strconv.ParseFloat(text, 64)
	return q, err == nil && q <= 1
}

// specificity is how closely a range fits a media type, -1 where it does not.
func specificity(want, media string) int {
	main, _, _ := strings.Cut(media, "/")
	switch want {
	case media:
		return 2
	case main + "/*":
		return 1
	case "*/*":
		return 0
	}
	return -1
}

// representation is one way to write an answer.
type representation struct {
	format string // as the parameter names it; "" where it has no name
	media  string // type and subtype
}

// choose settles on a representation: the format asked for, where the resource
// could have it at all, else what Accept would take. later is a format that the
// resource does not offer yet, or "".
func (o representation) choose(r *http.Request, format string, later string) error {
	if later != "" && format == later {
		return &api.CallError{Kind: api.NotAcceptable, Parameter: "format", Allowed: o.format, Detail: "format=" + later + " is not offered yet: write " + o.format}
	}
	if format != "" && format == o.format || accepts(r, o.media) {
		return nil
	}
	return &api.CallError{Kind: api.NotAcceptable, Detail: "there is no representation that Accept would take: this is " + o.media}
}
