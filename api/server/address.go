package server

import (
	"fmt"
	"strconv"
	"time"

	"reedlark/api"
)

// The parameters of an address that say nothing of a tab: which version of the
// sound it means, and whose it is. They stand beside those of a tab, and beside z.
const (
	versionName   = "v"
	keyName       = "key_id"
	expiresName   = "expires"
	signatureName = "signature"
)

// address is a query taken apart.
type address struct {
	tab   api.Query // what it says of a tab
	given map[string]string
}

// addressOf takes a query apart. The error is a *[api.CallError].
func addressOf(q api.Query) (a address, err error) {
	a.given, a.tab, err = q.Take(versionName, keyName, expiresName, signatureName)
	return a, err
}

// How long anyone may take an answer for fresh. What names its version never
// changes; what names another is not what it will be; of the rest a tag tells at
// little cost whether it is still fresh. ref: RFC 8246; RFC 5861, section 3.
const (
	keepUsual   = "public, max-age=600, stale-while-revalidate=86400"
	keepForever = "public, max-age=31536000, immutable"
	keepBriefly = "public, max-age=60"
)

// keep is the Cache-Control of the sound at an address. One that expires is kept
// no longer than it holds.
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
