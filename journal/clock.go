package journal

import (
	"fmt"
	"io"
	"sync"
	"time"
)

// Clock is a hybrid logical clock (Kulkarni, Demirbas, Madappa, Avva, Leone,
// "Logical Physical Clocks", 2014): it never runs backwards, stays with the
// wall clock when that is sane, and moves past every entry it is shown, so
// that a cause mostly has a smaller id than its effect. Nothing rests on that.
// It is safe for concurrent use.
type Clock struct {
	now  func() time.Time
	rand io.Reader

	mu      sync.Mutex
	ahead   time.Duration // how far the wall clock is ahead of the shop's
	millis  int64         // of the last id made or seen
	counter int           // of the last id made or seen, 0..4095
}

// NewClock returns a clock on the given wall clock and source of randomness.
func NewClock(now func() time.Time, rand io.Reader) *Clock {
	return &Clock{now: now, rand: rand}
}

// Next makes an id greater than every id made or followed before.
func (c *Clock) Next() (EntryID, error) {
	var id EntryID
	if _, err := io.ReadFull(c.rand, id[8:]); err != nil {
		return EntryID{}, fmt.Errorf("draw an entry id: %w", err)
	}
	c.mu.Lock()
	if wall := c.now().Add(-c.ahead).UnixMilli(); wall > c.millis {
		c.millis, c.counter = wall, 0
	} else {
		c.tick()
	}
	millis, counter := c.millis, c.counter
	c.mu.Unlock()

	for i := range 6 {
		id[i] = byte(millis >> (40 - 8*i))
	}
	id[6] = 0x70 | byte(counter>>8)
	id[7] = byte(counter)
	id[8] = id[8]&0x3f | 0x80
	return id, nil
}

// tick counts one step; a full counter borrows the next millisecond, which
// keeps ids rising when more than 4096 are made within one. mu is held.
func (c *Clock) tick() {
	c.counter++
	if c.counter > 0xfff {
		c.millis, c.counter = c.millis+1, 0
	}
}

// Follow moves the clock past an id that came from another device and
// reports whether it did. It is a courtesy to whoever reads times: what was
// seen decides the order, not ids. An id that lies more than [MaxAhead] ahead of the
// shop's time is not followed: one tablet set to the wrong year must not drag
// the whole shop along.
func (c *Clock) Follow(id EntryID) bool {
	c.mu.Lock()
	now := c.now().Add(-c.ahead)
	c.mu.Unlock()
	if id.Ahead(now) {
		return false
	}
	c.Resume(id)
	return true
}

// Compared notes how far the wall clock is ahead of the shop's, as measured
// when the two were last compared: ids are made by the shop's time. What a
// person reads as the time of an entry stays the wall clock's.
func (c *Clock) Compared(ahead time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.ahead = ahead
}

// Resume moves the clock past an id of this device's own log, however far
// ahead it is: a device's own order holds always.
func (c *Clock) Resume(id EntryID) {
	c.mu.Lock()
	defer c.mu.Unlock()
	millis, counter := id.Millis(), id.counter()
	if millis > c.millis || millis == c.millis && counter > c.counter {
		c.millis, c.counter = millis, counter
	}
}

// Ahead reports whether the id lies more than [MaxAhead] after now.
func (id EntryID) Ahead(now time.Time) bool {
	return id.Millis()-now.UnixMilli() > MaxAhead.Milliseconds()
}
