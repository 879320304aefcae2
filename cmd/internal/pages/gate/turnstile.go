package gate

import (
	"cmp"
	"fmt"
	"net/netip"
	"sync"
	"time"
)

// Slow says that too many wrong passphrases were tried, or PINs.
type Slow struct {
	Until time.Time     // no try is looked at
	Wait  time.Duration // from now, for the header Retry-After

	of string // what was tried; passphrases where nothing is said
}

// Error says how long to wait.
func (s *Slow) Error() string {
	n, unit := (s.Wait+time.Second-1)/time.Second, "second"
	if n > 120 {
		n, unit = (n+59)/60, "minute"
	}
	if n != 1 {
		unit += "s"
	}
	return fmt.Sprintf("too many wrong %s were tried; wait %d %s and try again", cmp.Or(s.of, "passphrases"), n, unit)
}

// How wrong tries are slowed down, by each sender and over all of them. NIST SP
// 800-63B (2017) section 5.2.2 asks for a limit and allows a wait that grows; the
// figures are our own: at most about 100 tries a day by one sender, and 1,500
// over all.
const (
	freeEach  = 3
	mostEach  = 15 * time.Minute
	freeAll   = 20
	mostAll   = time.Minute
	firstWait = 2 * time.Second
	// forgetAfter is how long after the last wrong try it is forgotten.
	forgetAfter = 24 * time.Hour
	maxSenders  = 1024
)

// tries are those in a row that were not right, or not yet known to be.
type tries struct {
	wrong int
	last  time.Time
	until time.Time // when the next one is looked at
}

func (t *tries) add(now time.Time, free int, most time.Duration) {
	if now.Sub(t.last) > forgetAfter {
		t.wrong = 0
	}
	t.wrong++
	t.last = now
	if over := t.wrong - free; over >= 0 {
		t.until = now.Add(min(most, firstWait<<min(over, 16)))
	}
}

// turnstile lets tries through one by one. Senders who gave the right passphrase
// before, and whoever sits at the hub itself, wait only for their own wrong
// tries: a stranger must not be able to keep the shop out. They are counted by
// whose passphrase is tried too, or who has one of their own would be let try
// another's again and again.
type turnstile struct {
	mu      sync.Mutex // guards the rest
	senders map[aim]*sender
	all     tries
}

// aim is from where whose passphrase is tried.
type aim struct {
	from netip.Prefix
	at   Person // "" for the desk's, and for names that nobody has
}

type sender struct {
	tries
	known bool
}

func newTurnstile() *turnstile { return &turnstile{senders: make(map[aim]*sender)} }

// enter counts a try as wrong before it is looked at, so that many at once get no
// further than one after the other.
func (t *turnstile) enter(from netip.Addr, at Person, now time.Time) *Slow {
	t.mu.Lock()
	defer t.mu.Unlock()
	s := t.sender(aim{block(from), at}, now)
	until := s.until
	trusted := s.known || from.IsLoopback()
	if !trusted && t.all.until.After(until) {
		until = t.all.until
	}
	if until.After(now) {
		return &Slow{Until: until, Wait: until.Sub(now)}
	}
	s.add(now, freeEach, mostEach)
	if !trusted {
		t.all.add(now, freeAll, mostAll)
	}
	return nil
}

// welcome forgets the wrong tries of who gave the right passphrase.
func (t *turnstile) welcome(from netip.Addr, at Person) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.senders[aim{block(from), at}] = &sender{known: true}
	t.all = tries{}
}

func (t *turnstile) sender(b aim, now time.Time) *sender {
	s, ok := t.senders[b]
	if !ok {
		t.makeRoom(now)
		s = new(sender)
		t.senders[b] = s
	}
	return s
}

// makeRoom drops the sender who has been quiet for longest. If that is one of a
// flood of senders, all of them together are still slowed down.
func (t *turnstile) makeRoom(now time.Time) {
	if len(t.senders) < maxSenders {
		return
	}
	var quiet aim
	since := now
	for b, s := range t.senders {
		if !s.known && !s.last.After(since) {
			quiet, since = b, s.last
		}
	}
	delete(t.senders, quiet)
}

// block is what one sender can choose addresses from: an IPv6 network hands out
// /64 and more.
func block(from netip.Addr) netip.Prefix {
	bits := from.BitLen()
	if from.Is6() {
		bits = 64
	}
	p, err := from.Prefix(bits)
	if err != nil {
		return netip.Prefix{} // of no address: all these are one sender
	}
	return p
}
