package server

import "time"

// What calls under way hold until it is sent: what is made whole, as a picture of a
// long page, and the plan of a sound. A listener may be slow, and there may be many
// of them, so it is bounded in all.
const (
	mostHeld   = 256 << 20 // bytes
	soundVoice = 400       // bytes of a plan for each voice, as measured
)

// hold notes that a call holds some bytes, unless that were too much.
func (s *service) hold(bytes int) error {
	if s.held.Add(int64(bytes)) <= mostHeld {
		return nil
	}
	s.letGo(bytes)
	return &errBusy{"memory", time.Second}
}

func (s *service) letGo(bytes int) { s.held.Add(-int64(bytes)) }
