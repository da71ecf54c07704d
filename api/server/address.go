package server

import (
	"fmt"
	"strconv"
	"time"

	"reedlark/api"
)

// The parameters of an address that do not describe the tab: the version of the sound,
// and the signature. They are allowed beside those of a tab, and beside z.
const (
	versionName   = "v"
	keyName       = "key_id"
	expiresName   = "expires"
	signatureName = "signature"
)

// address is a query, split into what describes the tab and the rest.
type address struct {
	tab   api.Query
	given map[string]string
}

// addressOf splits a query. The error is a *[api.CallError].
func addressOf(q api.Query) (a address, err error) {
	a.given, a.tab, err = q.Take(versionName, keyName, expiresName, signatureName)
	return a, err
}

// How long an answer may be cached. An address with the current version never changes;
// one with another version will, soon; for the rest the tag makes it cheap to ask
// again. ref: RFC 8246; RFC 5861, section 3.
const (
	keepUsual   = "public, max-age=600, stale-while-revalidate=86400"
	keepForever = "public, max-age=31536000, immutable"
	keepBriefly = "public, max-age=60"
)

// keep is the Cache-Control of the sound at an address. One that expires is cached no
// longer than it is valid.
func (a address) keep(now time.Time) string {
	version, named := a.given[versionName]
	switch {
	case a.given[expiresName] != "":
		at, _ := strconv.ParseInt(a.given[expiresName], 10, 64) // the signature has been checked, or is of no account
		return fmt.Sprintf("public, max-age=%d", max(0, min(at-now.Unix(), 600)))
	case named && version == api.EngineVersion():
		return keepForever
	case named:
		return keepBriefly
	}
	return keepUsual
}
