package server

import (
	"fmt"
	"net/http"

	"github.com/labstack/echo/v4"

	"reedlark/api"
)

// exposed is what a page of another origin may read of an answer.
const exposed = "Accept-Ranges, Allow, Cache-Status, Content-Disposition, Content-Length, Content-Range, ETag, Engine-Version, RateLimit, RateLimit-Policy, Retry-After, X-Request-Id"

// sendable is what such a page may send with a request.
const sendable = "Content-Type, Accept, If-None-Match, If-Range, Range"

// secure is what every answer tells a browser: nothing is taken for what it does
// not say it is, nobody learns whose address led elsewhere, and no answer, were
// it opened as a page, could run or ask for anything. Pages have a policy of
// their own. ref: Content Security Policy Level 3; OWASP, "HTTP Headers Cheat Sheet".
var secure = map[string]string{
	"X-Content-Type-Options":  "nosniff",
	"Referrer-Policy":         "no-referrer",
	"Content-Security-Policy": "default-src 'none'; media-src 'self'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'",
	"Permissions-Policy":      "camera=(), geolocation=(), payment=(), usb=()",
}

// manners gives every answer, a refusal too, what a page of another origin
// needs, and answers OPTIONS.
func manners(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		h := c.Response().Header()
		h.Set("Access-Control-Allow-Origin", "*")
		h.Set("Access-Control-Expose-Headers", exposed)
		h.Set("Cross-Origin-Resource-Policy", "cross-origin")
		h.Set("Vary", "Accept")
		for name, value := range secure {
			h.Set(name, value)
		}
		allow, known := c.Get(echo.ContextKeyHeaderAllow).(string)
		if c.Request().Method == http.MethodOptions && known {
			return preflight(c, allow)
		}
		return next(c)
	}
}

// preflight answers OPTIONS of a path that has other methods.
func preflight(c echo.Context, allow string) error {
	h := c.Response().Header()
	h.Set("Allow", allow)
	h.Set("Access-Control-Allow-Methods", allow)
	h.Set("Access-Control-Allow-Headers", sendable)
	h.Set("Access-Control-Max-Age", "86400")
	return c.NoContent(http.StatusNoContent)
}

// shortURL refuses a URL over the limit before anything reads it.
func shortURL(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if n := len(c.Request().RequestURI); n > api.MaxURL {
			return &api.CallError{Kind: api.UrlTooLong, Detail: fmt.Sprintf("the URL has %d bytes, but it may have %d: post the tab instead", n, api.MaxURL)}
		}
		return next(c)
	}
}
