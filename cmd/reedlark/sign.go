package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"reedlark/api"
	"reedlark/api/server"
	"reedlark/cmd/reedlark/batch"
)

type signCmd struct {
	URLs    []string      `arg:"" name:"url" help:"The addresses of sounds, whole or from the slash on, as '/v1/audio?tab=4+-4'."`
	Keys    []string      `env:"REEDLARK_KEYS" required:"" placeholder:"NAME:SECRET" help:"The keys of the service; the first one signs. Prefer the variable: others on the machine can read a flag."`
	KeyID   string        `name:"key-id" placeholder:"NAME" help:"The key that signs, if not the first."`
	For     time.Duration `xor:"end" placeholder:"TIME" least:"1s" most:"87600h" help:"How long the address is valid, such as 24h. The default is as long as the key."`
	Expires time.Time     `xor:"end" placeholder:"WHEN" help:"When it expires, such as 2027-01-31T18:00:00Z."`
}

// run signs addresses, one a line.
func (s *signCmd) run(_ context.Context, c *console) api.Failure {
	key, err := s.key()
	if err != nil {
		return c.fail("", err)
	}
	until := s.Expires
	if s.For != 0 {
		until = time.Now().Add(s.For)
	}
	if !until.IsZero() && until.Before(time.Now()) {
		return c.fail("", batch.Usagef("expires is %s, which has passed", until.Format(time.RFC3339)))
	}
	for _, address := range s.URLs {
		signed, err := server.Sign(address, key, until)
		if err != nil {
			return c.fail("", err)
		}
		printf(c.stdout, "%s\n", signed)
	}
	return api.NoFailure
}

// key is the key that signs.
func (s *signCmd) key() (server.Key, error) {
	var names []string
	var found server.Key
	for _, text := range slices.Backward(s.Keys) {
		key, err := server.ParseKey(text)
		if err != nil {
			return key, err
		}
		names = append(names, key.ID)
		if s.KeyID == "" || s.KeyID == key.ID {
			found = key
		}
	}
	if found.ID == "" {
		allowed := "one of " + strings.Join(names, ", ")
		return found, &api.CallError{
			Kind: api.NotAllowed, Parameter: "key-id", Allowed: allowed,
			Detail: fmt.Sprintf("key-id is %q, but it may be %s", s.KeyID, allowed),
		}
	}
	return found, nil
}
