package server

import (
	"errors"
	"io"
	"mime"
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"reedlark/api"
)

// request reads a request from its body or its query. keep is the Cache-Control of its
// answer.
func request(c echo.Context) (req api.Request, keep string, err error) {
	r := c.Request()
	if r.Method == http.MethodPost {
		req, err = posted(c)
		return req, keepUsual, err
	}
	a, err := addressOf(api.SplitQuery(r.URL.RawQuery))
	if err != nil {
		return req, "", err
	}
	req, err = a.tab.Request()
	return req, a.keep(time.Now()), err
}

func posted(c echo.Context) (api.Request, error) {
	body, err := postedJSON(c)
	if err != nil {
		return api.Request{}, err
	}
	return api.FromJSON(body)
}

// postedJSON is the body of a POST.
func postedJSON(c echo.Context) ([]byte, error) {
	r := c.Request()
	if r.URL.RawQuery != "" {
		return nil, &api.CallError{Kind: api.Malformed, Detail: "a POST takes its body alone: put what stands in the query into the JSON"}
	}
	if err := isJSON(r.Header); err != nil {
		return nil, err
	}
	return readBody(c)
}

// isJSON refuses a body that is no JSON, or JSON that we would have to decode
// before reading it.
func isJSON(h http.Header) error {
	media, params, err := mime.ParseMediaType(h.Get("Content-Type"))
	charset := strings.ToLower(params["charset"])
	coding := strings.ToLower(h.Get("Content-Encoding"))
	switch {
	case err != nil || media != "application/json":
		return wrongMedia("the body is not application/json: send the parameters as one JSON object, and say so in Content-Type")
	case charset != "" && charset != "utf-8":
		return wrongMedia("the JSON is not in UTF-8")
	case coding != "" && coding != "identity":
		return wrongMedia("the body is compressed: send it as it is")
	}
	return nil
}

func wrongMedia(detail string) error { return &api.CallError{Kind: api.WrongMedia, Detail: detail} }

func readBody(c echo.Context) ([]byte, error) {
	r := c.Request()
	tooLarge := &api.CallError{Kind: api.TooLarge, Detail: "the body is too large: it may be 256 KiB"}
	if r.ContentLength > api.MaxBody {
		c.Response().Header().Set("Connection", "close") // rather than read the rest
		return nil, tooLarge
	}
	body, err := io.ReadAll(http.MaxBytesReader(c.Response(), r.Body, api.MaxBody))
	var over *http.MaxBytesError
	switch {
	case errors.As(err, &over):
		return nil, tooLarge
	case err != nil:
		return nil, &api.CallError{Kind: api.Malformed, Detail: "the body broke off"}
	}
	return body, nil
}
