package httpx

import (
	"net/http"
	"strconv"
	"strings"
)

// quality is how much the Accept fields of a request would like a media type,
// from 0, not at all, to 1. The most specific range decides; no range at all
// takes everything. What cannot be read is skipped.
// ref: RFC 9110, section 12.5.1.
func quality(r *http.Request, media string) float64 {
	best, q, said := -1, 0.0, false
	for part := range strings.SplitSeq(strings.Join(r.Header.Values("Accept"), ","), ",") {
		want, value, ok := mediaRange(part)
		if !ok {
			continue
		}
		said = true
		if s := specificity(want, media); s > best || s == best && value > q {
			best, q = s, value
		}
	}
	switch {
	case !said:
		return 1
	case best < 0:
		return 0
	}
	return q
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

// Representation is one way to write an answer.
type Representation struct {
	Format string // as a parameter names it; "" where it has no name
	Media  string // type and subtype
	Ending string // of a file's name
}

// Choose is the representation whose format is asked for, if there is one, else
// the one that Accept prefers, the first of equals. It is false where Accept takes
// none of them.
func Choose(r *http.Request, format string, offers ...Representation) (Representation, bool) {
	best, liked := Representation{}, 0.0
	for _, o := range offers {
		if format != "" && format == o.Format {
			return o, true
		}
		if q := quality(r, o.Media); q > liked {
			best, liked = o, q
		}
	}
	return best, liked > 0
}
