package journal

import (
	"iter"
	"maps"
)

// Closings is what the register says of logs of which not all counts: how much
// does, and why no more. Hub and tablets ask the same. The zero value has heard
// nothing yet.
type Closings struct {
	counts map[DeviceID]int64
	forked map[DeviceID]bool
}

// closing is what entries say by which not all of a log counts.
type closing interface{ closes(*Closings) }

// Closes reports whether entries of the kind say how much of a log counts, or why
// no more does.
func (k Kind) Closes() bool {
	_, ok := k.Blank().(closing)
	return ok
}

// Read takes in what an entry of the register says; most say nothing of it. Of
// several words on one log the smallest number holds.
func (c *Closings) Read(p Payload) {
	if p, ok := p.(closing); ok {
		p.closes(c)
	}
}

func (p *LogClosing) closes(c *Closings) { c.close(p.Device, p.Counts) }
func (p *LogParting) closes(c *Closings) { c.close(p.Device, p.Common) }

func (p *ForkFound) closes(c *Closings) {
	if c.forked == nil {
		c.forked = make(map[DeviceID]bool)
	}
	c.forked[p.Device] = true
}

func (c *Closings) close(device DeviceID, counts int64) {
	if c.counts == nil {
		c.counts = make(map[DeviceID]int64)
	}
	if n, ok := c.counts[device]; !ok || counts < n {
		c.counts[device] = counts
	}
}

// Counts returns how many entries of a log count; not ok of one that was not
// closed. Of the hub's own log, which goes on, it is how many all its histories
// have.
func (c *Closings) Counts(device DeviceID) (n int64, ok bool) {
	n, ok = c.counts[device]
	return n, ok
}

// Forked reports whether two histories of a log were seen.
func (c *Closings) Forked(device DeviceID) bool { return c.forked[device] }

// Forks yields the devices whose logs have two histories.
func (c *Closings) Forks() iter.Seq[DeviceID] { return maps.Keys(c.forked) }

// Branch says why the rest of a closed log does not count. That it has two
// histories is said only where the register says so, whether or not the device
// was revoked besides: a closing alone says no more than that the log ended.
func (c *Closings) Branch(device DeviceID) Branch {
	if c.Forked(device) {
		return RestoredBranch
	}
	return RevokedBranch
}
