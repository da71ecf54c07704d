package server

import (
	"crypto/hmac"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"reedlark/api"
)

// A signed address ends in `&signature=` and the HMAC-SHA256 of everything from
// the slash of its path to what stands before that, exactly as it is sent: path,
// question mark, query, with `key_id` and, where it is to expire, `expires` in
// seconds since 1970 among the parameters. The code is in base64url without
// padding. ref: RFC 2104, RFC 4648, section 5.

// Sign gives an address of a sound a signature. It holds until expires, or for as
// long as the key does where that is zero. What a browser would write otherwise,
// as a blank, is written so before. It fails where the address is none, or has a
// signature, or parameters of one, already.
func Sign(address string, k Key, expires time.Time) (string, error) {
	u, err := url.Parse(address)
	switch {
	case err != nil || !strings.HasPrefix(u.EscapedPath(), "/") || u.Opaque != "":
		return "", notAllowed("url", fmt.Sprintf("the address is %q", address), "the URL of a sound, or its path and query")
	case u.RawQuery == "":
		return "", notAllowed("url", "the address has no query", "the URL of a sound, as /v1/audio?tab=4+-4")
	}
	for _, name := range []string{keyName, expiresName, signatureName} {
		if api.SplitQuery(u.RawQuery).Has(name) {
			return "", notAllowed("url", "the address has "+name+" already", "one that is not signed yet")
		}
	}
	query := asSent(u.RawQuery) + "&" + keyName + "=" + k.ID
	if !expires.IsZero() {
		query += "&" + expiresName + "=" + strconv.FormatInt(expires.Unix(), 10)
	}
	u.Fragment = ""
	u.RawQuery = query + "&" + signatureName + "=" + signature(k, u.EscapedPath()+"?"+query)
	return u.String(), nil
}

// asSent writes what a browser would not send as it is in percent code.
// ref: WHATWG URL, the special-query percent-encode set.
func asSent(query string) string {
	var b strings.Builder
	for _, c := range []byte(query) {
		if c <= ' ' || c >= 0x7F || strings.IndexByte(`"#<>'`, c) >= 0 {
			fmt.Fprintf(&b, "%%%02X", c)
		} else {
			b.WriteByte(c)
		}
	}
	return b.String()
}

func signature(k Key, text string) string {
	mac := hmac.New(sha256.New, k.Secret)
	mac.Write([]byte(text))
	return base64.RawURLEncoding.EncodeToString(mac.Sum(nil))
}

// errNotSigned is the answer to every address without a valid signature, whatever is
// wrong with it.
var errNotSigned = errors.New("here a sound is served only to an address that is signed, and still holds: ask for a new link, or post the tab")

// checkSigned refuses an address of a sound without a valid signature, if addresses
// have to be signed. It takes the same time whatever is wrong.
func (s *service) checkSigned(r *http.Request) error {
	if len(s.cfg.Keys) == 0 || r.Method == http.MethodPost {
		return nil
	}
	query, code := r.URL.RawQuery, ""
	if at := strings.LastIndex(query, "&"+signatureName+"="); at >= 0 {
		query, code = query[:at], query[at+len(signatureName)+2:]
	}
	values, _, err := api.SplitQuery(query).Take(keyName, expiresName)
	key, known := Key{Secret: make([]byte, 32)}, 0
	for _, k := range s.cfg.Keys {
		if k.ID == values[keyName] {
			key, known = k, 1
		}
	}
	same := subtle.ConstantTimeCompare([]byte(code), []byte(signature(key, r.URL.EscapedPath()+"?"+query)))
	if err != nil || known&same&unexpired(values) != 1 {
		return errNotSigned
	}
	return nil
}

// unexpired is 1 where an address has not expired, else 0.
func unexpired(values map[string]string) int {
	text, limited := values[expiresName]
	if !limited {
		return 1
	}
	at, err := strconv.ParseInt(text, 10, 64)
	if err != nil || time.Now().Unix() >= at {
		return 0
	}
	return 1
}

// pageTime is how long the address of a sound in one of our pages is valid.
const pageTime = time.Hour

// soundOf is the address of the sound of a link, as our own pages have it: with
// the version that it is to have, and signed, where addresses have to be.
func (s *service) soundOf(link string) template.URL {
	if link == "" {
		return ""
	}
	address := "/v1/audio?z=" + link + "&" + versionName + "=" + api.EngineVersion()
	if len(s.cfg.Keys) == 0 {
		return template.URL(address)
	}
	signed, err := Sign(address, s.cfg.Keys[0], time.Now().Add(pageTime))
	if err != nil {
		return "" // which only an address can be the cause of that is not ours
	}
	return template.URL(signed)
}
