package hub

import (
	"fmt"
	"time"

	"fettlebook/journal/words"
)

// budget is how much of something one device may cause over a sliding time, in bytes and
// in messages; zero bytes are no limit. The time is given from outside.
type budget struct {
	of       string // as it is said to people: "the hub was sent …"
	bytes    int64
	messages int64
	over     time.Duration
}

// The budgets part what honest work needs at the worst from what fills a disk or keeps
// others waiting. The worst that is honest is a tablet that comes back from a month away
// with 10 000 entries and 1 000 photographs of 4 MB: it needs less than a fourth of each
// (TestHonestWorkIsNeverCutOff).
var budgets = [...]budget{
	// What was of no use: it could not be read or verified, was here already, or came
	// faster than it can be answered. A bad line repeats what was not answered in time.
	waste: {"of no use", 256 << 20, 4000, 10 * time.Minute},
	// The same all at once: what is heavy is not waited for until it is that much. A line
	// that answers nothing has the segments under way repeated, and a piece, after ten seconds.
	rush: {"of no use, one upon the other", 32 << 20, 0, 20 * time.Second},
	// Questions that bring nothing. A tablet asks some after each news and each write, and
	// looks at most twenty times a second (uplink, mostRounds) however fast it is written to.
	asking: {"that asked something", 0, 40_000, time.Minute},
	// Own entries, as they travel. A tablet that gives back what the hub knows to have had
	// pays nothing.
	writing: {"with entries", 512 << 20, 20_000, 24 * time.Hour},
	// Pieces of photographs.
	showing: {"with pieces of photographs", 16 << 30, 0, 24 * time.Hour},
	// Answers that it had before: what was cut off is asked for again, and all of it by a
	// tablet that was put back from an older copy, which may go on after a rest.
	again: {"that asked for what it had been given before", 1 << 30, 0, 24 * time.Hour},
	// Other tablets' entries that are here already. A hub that lost its disk is given all of
	// them by every tablet that holds them, and who is a moment later than another brings
	// what is just there.
	giving: {"with entries of others that were here already", 4 << 30, 0, 24 * time.Hour},
}

// purse names a budget.
type purse int

const (
	waste purse = iota
	rush
	asking
	writing
	showing
	again
	giving
	purses // so many
)

// slots is into how many parts a sliding time is divided.
const slots = 20

// spent is what was spent of one budget lately.
type spent struct {
	at              int64 // number of the newest slot
	bytes, messages [slots]int64
}

// spend adds to what was spent, and reports whether that is more than the budget has.
func (s *spent) spend(b budget, now time.Time, bytes, messages int64) (over bool) {
	at := now.UnixNano() / int64(b.over/slots)
	for n := min(at-s.at, slots); n > 0; n-- { // a clock that was set back goes on in the newest
		s.at++
		s.bytes[s.at%slots], s.messages[s.at%slots] = 0, 0
	}
	s.at = max(s.at, at)
	s.bytes[s.at%slots] += bytes
	s.messages[s.at%slots] += messages
	return b.share(s.sum()) > 1
}

// share is which part of the budget was spent.
func (b budget) share(bytes, messages int64) (part float64) {
	if b.bytes > 0 {
		part = float64(bytes) / float64(b.bytes)
	}
	if b.messages > 0 {
		part = max(part, float64(messages)/float64(b.messages))
	}
	return part
}

func (s *spent) sum() (bytes, messages int64) {
	for i := range slots {
		bytes, messages = bytes+s.bytes[i], messages+s.messages[i]
	}
	return bytes, messages
}

// passed says which budget a device passed, in a sentence's part.
func (b budget) passed(bytes, messages int64) string {
	within := words.Count(int(b.over/time.Minute), "minute")
	if b.over < time.Minute {
		within = words.Count(int(b.over/time.Second), "second")
	}
	return fmt.Sprintf("%s %s, %d MB, within %s", words.Count(int(messages), "message"), b.of, bytes/1e6, within)
}
