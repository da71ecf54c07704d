package admit

import "time"

// Reason is why a job is refused.
type Reason string

// The reasons.
const (
	LineFull  Reason = "line"   // too many jobs wait
	TooMuch   Reason = "work"   // too much work is due before it
	TooLate   Reason = "wait"   // it has waited for as long as anybody may
	NoMemory  Reason = "memory" // too much is held already
	OverQuota Reason = "quota"  // its client asked for more than it may have
)

// Refusal says that a job cannot be done now.
type Refusal struct {
	Reason Reason
	After  time.Duration // when there is likely to be room
}

func (r *Refusal) Error() string {
	if r.Reason == OverQuota {
		return "you asked for more than one caller may have for now: try again later"
	}
	return "the server is busy: try again in a moment"
}
