package server

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"sync/atomic"

	"github.com/labstack/echo/v4"

	"reedlark/api"
)

// wellSpoken is a listener on whose connections net/http's own refusals, of what
// it cannot read as HTTP at all, are problems like all others. It writes them by
// itself, as plain text, before any handler is asked.
type wellSpoken struct{ net.Listener }

// Accept waits for the next connection.
func (l wellSpoken) Accept() (net.Conn, error) {
	conn, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return &spoken{Conn: conn}, nil
}

// spoken is such a connection. What a handler answers passes as it is, whatever
// it looks like.
type spoken struct {
	net.Conn
	answering atomic.Bool // a handler is, or has not sent all of its answer
}

type spokenKey struct{}

// known lets handlers find their connection.
func known(ctx context.Context, conn net.Conn) context.Context {
	return context.WithValue(ctx, spokenKey{}, conn)
}

// answering marks the connection of a call that has come to a handler.
func answering(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if conn, ok := c.Request().Context().Value(spokenKey{}).(*spoken); ok {
			conn.answering.Store(true)
		}
		return next(c)
	}
}

// note takes the mark off when all is sent.
func (wellSpoken) note(conn net.Conn, state http.ConnState) {
	if s, ok := conn.(*spoken); ok && state == http.StateIdle {
		s.answering.Store(false)
	}
}

// plain is how net/http's own refusals go on after their status line.
const plain = "\r\nContent-Type: text/plain; charset=utf-8\r\nConnection: close\r\n\r\n"

func (s *spoken) Write(b []byte) (int, error) {
	line, rest, _ := bytes.Cut(b[:min(len(b), 256)], []byte("\r\n"))
	if s.answering.Load() || !bytes.HasPrefix(append([]byte("\r\n"), rest...), []byte(plain)) {
		return s.Conn.Write(b)
	}
	if _, err := s.Conn.Write(asProblem(string(line))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// CloseWrite ends what is sent and lets the other side finish, as net/http wants
// it after a header that is too large.
func (s *spoken) CloseWrite() error {
	if half, ok := s.Conn.(interface{ CloseWrite() error }); ok {
		return half.CloseWrite()
	}
	return nil
}

// asProblem is a refusal in the form of the others. It repeats nothing of what was
// sent.
func asProblem(line string) []byte {
	status := http.StatusBadRequest
	if text, found := bytes.CutPrefix([]byte(line), []byte("HTTP/1.1 ")); found && len(text) >= 3 {
		if n, err := strconv.Atoi(string(text[:3])); err == nil {
			status = n
		}
	}
	problem := api.ProblemKind{Path: "unreadable", Title: http.StatusText(status), Status: status}.Problem("the request line or a header field cannot be read, or is too long")
	body, err := api.JSON(problem)
	if err != nil {
		body = nil
	}
	return fmt.Appendf(nil, "HTTP/1.1 %d %s\r\n"+
		"Access-Control-Allow-Origin: *\r\nCache-Control: no-store\r\nConnection: close\r\nContent-Length: %d\r\n"+
		"Content-Type: application/problem+json\r\nCross-Origin-Resource-Policy: cross-origin\r\nX-Content-Type-Options: nosniff\r\n\r\n%s",
		status, http.StatusText(status), len(body), body)
}
