package diag

// Code names a kind of problem in kebab-case, for programs to tell them apart.
type Code string

// Codes is every code there is, in the order of the notation's chapters; the
// OpenAPI document lists the same.
var Codes = []Code{}
