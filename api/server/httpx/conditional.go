package httpx

import (
	"errors"
	"net/http"
	"strings"
)

// ErrPrecondition says that the representation is not one that If-Match names.
var ErrPrecondition = errors.New("the representation is not the one that If-Match names")

// CheckPreconditions fails with [ErrPrecondition] where If-Match does not have the
// tag of what would be answered; an empty tag is had by "*" alone. The comparison
// is strong. If-Unmodified-Since has no effect, as it has none wherever there is no
// date of modification. ref: RFC 9110, sections 13.1.1, 13.1.4 and 13.2.2.
func CheckPreconditions(r *http.Request, tag string) error {
	list := r.Header.Values("If-Match")
	if len(list) > 0 && !matches(list, func(weak bool, one string) bool { return !weak && one == tag }) {
		return ErrPrecondition
	}
	return nil
}

// unchanged says whether If-None-Match has the tag. The comparison is weak.
// ref: RFC 9110, section 13.1.2.
func unchanged(r *http.Request, tag string) bool {
	return matches(r.Header.Values("If-None-Match"), func(_ bool, one string) bool { return one == tag })
}

// matches says whether one of a list of entity tags, or "*", fits. What follows a
// malformed tag is not read. ref: RFC 9110, section 8.8.3.
func matches(fields []string, fits func(weak bool, tag string) bool) bool {
	rest := strings.TrimSpace(strings.Join(fields, ","))
	if rest == "*" {
		return true
	}
	for rest != "" {
		var weak bool
		rest, weak = strings.CutPrefix(strings.TrimLeft(rest, " \t,"), "W/")
		end := strings.IndexByte(strings.TrimPrefix(rest, `"`), '"') + 2
		if !strings.HasPrefix(rest, `"`) || end < 2 {
			return false
		}
		if fits(weak, rest[:end]) {
			return true
		}
		rest = rest[end:]
	}
	return false
}
