// Command engine is package api compiled for the browser, so that a page makes
// its own scores, pictures and sound, with no server and no network.
//
// It answers the requests of the HTTP interface, by the same functions and with
// the same bytes. A request names a resource, with a query as in a URL or with a
// JSON object as in the body of a POST; the answer is a status, a media type and
// a body. A sound can also be opened and read in pieces, each as short as the
// caller likes, so that playing starts before the rest of it is made.
//
// The page runs it in a worker (api/web/assets/worker.js). `go generate
// ./api/web` builds it.
package main
