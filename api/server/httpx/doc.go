// Package httpx answers with content of known size as HTTP has it: whole or in
// ranges, under preconditions, in the representation that Accept prefers, to
// readers who may be slow. It also closes a listener without losing anyone, and
// knows the fields that every answer carries for browsers and other origins.
//
// It does not know what the content is. Its callers turn its errors into answers.
package httpx
