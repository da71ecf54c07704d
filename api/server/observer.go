package server

import (
	"context"
	"time"
)

// Observer receives events, to count and trace them. Its methods are called
// concurrently and must be quick. They never receive text that a caller wrote:
// every string is one of a fixed set. A resource is a route such as /v1/audio or
// /v1/harps/:key, or "none".
type Observer interface {
	Began(ctx context.Context, resource, parent string) context.Context        // a call is in flight; its Traceparent field, unchecked
	Answered(ctx context.Context, a Answer)                                    // and is no longer
	Waited(d time.Duration)                                                    // for a slot
	Rendered(seconds float64)                                                  // of sound were made
	Cached(kind string, hit bool)                                              // piece, sound or file was asked of the cache
	Shed(reason string)                                                        // a call was refused: line, wait, work, memory or quota
	Problem(severity, code string)                                             // a tab has a diagnostic
	Stage(ctx context.Context, name string) (context.Context, func(err error)) // parse, perform, render or write begins; the function ends it
}

// Answer is how a call was answered.
type Answer struct {
	Resource string
	Method   string // "other" if unknown
	Status   int
	Bytes    int64
	Took     time.Duration
}

// Nobody is an Observer that ignores all events.
type Nobody struct{}

var _ Observer = Nobody{}

// Began is called when a call is routed.
func (Nobody) Began(ctx context.Context, _, _ string) context.Context { return ctx }

// Answered is called once for each call that began.
func (Nobody) Answered(context.Context, Answer) {}

// Waited is called when a call got its first slot.
func (Nobody) Waited(time.Duration) {}

// Rendered is called for each stretch of sound.
func (Nobody) Rendered(float64) {}

// Cached is called for each look into the cache.
func (Nobody) Cached(string, bool) {}

// Shed is called for each call that is refused because the server is busy.
func (Nobody) Shed(string) {}

// Problem is called for each diagnostic of each tab that was opened.
func (Nobody) Problem(string, string) {}

// Stage is called when a part of the work begins.
func (Nobody) Stage(ctx context.Context, _ string) (context.Context, func(error)) {
	return ctx, func(error) {}
}
