// Package openapi is the contract of the HTTP interface and what is generated
// from it.
//
// openapi.yaml is written by hand and comes first: a resource, a parameter or a
// member of an answer is put there, then generated, then filled. The types of
// the answers are here, for whoever makes them and whoever writes them out; the
// routes are in api/server. What comes in (parameters, bodies) is read by the
// door itself, which is stricter than generated code can be; door.overlay.yaml
// takes it out of what the generator sees.
package openapi

import _ "embed" // for the document

//go:generate go tool -modfile=../.ci/tools/go.mod oapi-codegen -config types.yaml openapi.yaml
//go:generate go tool -modfile=../.ci/tools/go.mod oapi-codegen -config routes.yaml openapi.yaml

// Document is the contract, OpenAPI 3.0.3 in YAML.
//
//go:embed openapi.yaml
var Document []byte
