package httpx

import "net/http"

// exposed is what a page of another origin may read of an answer.
const exposed = "Accept-Ranges, Allow, Cache-Status, Content-Disposition, Content-Length, Content-Range, ETag, Engine-Version, RateLimit, RateLimit-Policy, Retry-After, X-Request-Id"

// sendable is what such a page may send with a request.
const sendable = "Content-Type, Accept, If-Match, If-None-Match, If-Range, Range"

// securityHeaders tell a browser to guess no media type, to send no address on to
// other sites, and to let no answer that is opened as a page run or fetch anything.
// Pages replace the policy by their own. ref: Content Security Policy Level 3;
// OWASP, "HTTP Headers Cheat Sheet".
var securityHeaders = map[string]string{
	"X-Content-Type-Options":  "nosniff",
	"Referrer-Policy":         "no-referrer",
	"Content-Security-Policy": "default-src 'none'; media-src 'self'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'",
	"Permissions-Policy":      "camera=(), geolocation=(), payment=(), usb=()",
}

// SetSecurityHeaders sets what every answer tells a browser.
func SetSecurityHeaders(h http.Header) {
	for name, value := range securityHeaders {
		h.Set(name, value)
	}
}

// SetCORS lets pages of any origin read an answer. ref: the Fetch standard,
// "CORS protocol" and "Cross-Origin-Resource-Policy".
func SetCORS(h http.Header) {
	h.Set("Access-Control-Allow-Origin", "*")
	h.Set("Access-Control-Expose-Headers", exposed)
	h.Set("Cross-Origin-Resource-Policy", "cross-origin")
}

// SetPreflight answers OPTIONS of a resource that has the methods listed in allow.
func SetPreflight(h http.Header, allow string) {
	h.Set("Allow", allow)
	h.Set("Access-Control-Allow-Methods", allow)
	h.Set("Access-Control-Allow-Headers", sendable)
	h.Set("Access-Control-Max-Age", "86400")
}
