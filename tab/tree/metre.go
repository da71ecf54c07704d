package tree

import (
	"fmt"
	"regexp"
	"strconv"
)

// MaxMetreBeats is the longest bar a time signature may ask for.
const MaxMetreBeats = 32

var metreForm = regexp.MustCompile(`^(\d{1,4})\s*/\s*(\d{1,4})$`)

// ParseMetre reads a time signature such as "6/8": 1 to 32 beats, the lower
// figure 2, 4, 8 or 16. It reports false for anything else.
func ParseMetre(s string) (Metre, bool) {
	m := metreForm.FindStringSubmatch(s)
	if m == nil {
		return Metre{}, false
	}
	beats, _ := strconv.Atoi(m[1])
	unit, _ := strconv.Atoi(m[2])
	known := unit == 2 || unit == 4 || unit == 8 || unit == 16
	if !known || beats < 1 || beats > MaxMetreBeats {
		return Metre{}, false
	}
	return Metre{beats, unit}, true
}

// String is the metre as it is written, "" for none.
func (m Metre) String() string {
	if m.Beats == 0 {
		return ""
	}
	return fmt.Sprintf("%d/%d", m.Beats, m.Unit)
}
