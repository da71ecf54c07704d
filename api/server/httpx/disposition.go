package httpx

import (
	"net/url"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Disposition shows an answer in place and names the file it would be saved
// as, for old clients in ASCII and for the others in full.
// ref: RFC 6266, section 4.3 and appendix D; RFC 8187, section 3.2.
func Disposition(name string) string {
	return `inline; filename="` + ascii(name) + `"; filename*=UTF-8''` + extended(name)
}

// FileName makes a name of a title that every file system takes; other is the name
// where nothing of the title is left.
func FileName(title, other, extension string) string {
	safe := strings.Map(func(r rune) rune {
		switch {
		case strings.ContainsRune(`/\:*?"<>|`, r):
			return '-'
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == unicode.ReplacementChar:
			return -1
		case unicode.IsSpace(r):
			return ' '
		}
		return r
	}, title)
	safe = strings.Trim(safe, " .")
	switch {
	case safe == "":
		safe = other
	case isDevice(safe):
		safe = "_" + safe // at the end it would still be one before the extension
	}
	return shorten(safe, maxFileName) + "." + extension
}

// isDevice says whether Windows takes a name, whatever its extension, for a device.
// ref: Microsoft, "Naming Files, Paths, and Namespaces".
func isDevice(name string) bool {
	base, _, _ := strings.Cut(strings.ToUpper(name), ".")
	base = strings.TrimSpace(base)
	switch base {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$":
		return true
	}
	port, number := strings.CutPrefix(base, "COM")
	if !number {
		port, number = strings.CutPrefix(base, "LPT")
	}
	return number && strings.Contains(" 0 1 2 3 4 5 6 7 8 9 ¹ ² ³ ", " "+port+" ")
}

// maxFileName leaves room for an extension in the 255 bytes file systems take.
const maxFileName = 200

func shorten(s string, most int) string {
	for i := range s {
		if i > most {
			return strings.ToValidUTF8(s[:most], "")
		}
	}
	return s
}

// ascii takes the accents off; what is left and is no plain sign becomes `_`.
// The percent sign is one of these: some clients would decode it.
func ascii(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Mn, r):
			return -1
		case r < ' ' || r > '~' || strings.ContainsRune(`"\%`, r):
			return '_'
		}
		return r
	}, norm.NFD.String(name))
}

// extended percent-encodes all but the attr-chars that every client agrees on.
func extended(name string) string {
	return strings.ReplaceAll(url.QueryEscape(name), "+", "%20")
}
