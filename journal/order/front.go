package order

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"fettlebook/journal"
)

// Roots answers what the root of a log's first entries is here.
type Roots interface {
	RootAt(ctx context.Context, device journal.DeviceID, size int64) ([32]byte, error)
}

// Front finds how much of each log is closed: held here together with all
// that is cited in it, by the same roots. It is not safe for concurrent use.
type Front struct {
	roots Roots
	logs  map[journal.DeviceID]*log
	again []journal.DeviceID // logs to look at when it grows
}

// log is what a front knows of one log.
type log struct {
	closed int64         // so many entries are closed
	rest   []Entry       // held behind them
	last   journal.After // cited by the last closed one, if known
	counts int64         // so many entries count at most
	parts  int64         // so many entries are common to all histories of it
	wait   *Wait         // of rest[0]
	blocks []journal.DeviceID
}

func (l *log) held() int64 { return l.closed + int64(len(l.rest)) }

// NewFront returns a front over no logs.
func NewFront(roots Roots) *Front {
	return &Front{roots: roots, logs: make(map[journal.DeviceID]*log)}
}

func (f *Front) log(device journal.DeviceID) *log {
	l := f.logs[device]
	if l == nil {
		l = &log{counts: math.MaxInt64, parts: math.MaxInt64}
		f.logs[device] = l
	}
	return l
}

// Resume says that so many entries of a log are closed, as was found before.
func (f *Front) Resume(device journal.DeviceID, closed int64) { f.log(device).closed = closed }

// Closed returns how many entries of a log are closed.
func (f *Front) Closed(device journal.DeviceID) int64 {
	if l := f.logs[device]; l != nil {
		return l.closed
	}
	return 0
}

// Held returns how many entries of a log are here.
func (f *Front) Held(device journal.DeviceID) int64 {
	if l := f.logs[device]; l != nil {
		return l.held()
	}
	return 0
}

// Devices returns the devices whose logs are here, sorted.
func (f *Front) Devices() []journal.DeviceID {
	var list []journal.DeviceID
	for _, d := range slices.Sorted(maps.Keys(f.logs)) {
		if f.logs[d].held() > 0 {
			list = append(list, d)
		}
	}
	return list
}

// Close says that the register counts only so many entries of a log; of
// several such words the smallest number holds. It reports whether more of
// the log than that was closed already, so that the front must be made anew.
func (f *Front) Close(device journal.DeviceID, counts int64) (anew bool) {
	l := f.log(device)
	l.counts = min(l.counts, counts)
	f.lookAgain()
	return l.closed > l.counts
}

// Part says that the register knows another history of a log, which parts from
// the one that is here behind so many entries, and that the log goes on here.
// Who had seen more of the other one counts as having seen so many. Of several
// such words the smallest number holds.
func (f *Front) Part(device journal.DeviceID, common int64) {
	l := f.log(device)
	l.parts = min(l.parts, common)
	f.lookAgain()
}

// lookAgain has everything looked at that waits.
func (f *Front) lookAgain() {
	for d, l := range f.logs {
		if len(l.rest) > 0 {
			f.again = append(f.again, d)
		}
	}
}

// Add takes in the next entry of a log. [Front.Grow] finds out what is closed
// with it.
func (f *Front) Add(e Entry) error {
	l := f.log(e.Device)
	if held := l.held(); e.Index != held {
		return fmt.Errorf("order: entry %d of log %s comes when %d are here", e.Index, e.Device, held)
	}
	l.rest = append(l.rest, e)
	return nil
}

// Grow finds out what is closed now that a log has grown, of all logs, and
// hands it to visit: no entry before what it cites. After an error the rest is
// found the next time.
func (f *Front) Grow(ctx context.Context, device journal.DeviceID, visit func(Entry) error) error {
	f.again = append(f.again, device)
	f.free(f.log(device))
	for len(f.again) > 0 {
		n := len(f.again) - 1
		next := f.again[n]
		f.again = f.again[:n]
		if err := f.close(ctx, next, visit); err != nil {
			f.again = append(f.again, next)
			return err
		}
	}
	return nil
}

// free has the logs looked at again that wait for this one.
func (f *Front) free(l *log) {
	f.again = append(f.again, l.blocks...)
	l.blocks = nil
}

// close closes what can be closed of one log. Logs that were waiting for it
// are looked at again.
func (f *Front) close(ctx context.Context, device journal.DeviceID, visit func(Entry) error) error {
	l := f.log(device)
	for len(l.rest) > 0 {
		e := l.rest[0]
		wait, err := f.missing(ctx, l, e)
		if err != nil {
			return fmt.Errorf("order entry %d of log %s: %w", e.Index, device, err)
		}
		if l.wait = wait; wait != nil {
			return nil
		}
		if err := visit(e); err != nil {
			return fmt.Errorf("order entry %d of log %s: %w", e.Index, device, err)
		}
		l.closed, l.rest, l.last = l.closed+1, l.rest[1:], e.After
		f.free(l)
	}
	l.rest = nil
	return nil
}

// missing returns what keeps the next entry of a log from being closed, or
// nil. What its predecessor cited needs no second look.
func (f *Front) missing(ctx context.Context, l *log, e Entry) (*Wait, error) {
	if e.Index >= l.counts {
		return &Wait{Closed, e.Device, l.counts}, nil
	}
	for _, c := range e.After {
		if l.last.Of(c.Device) == c {
			continue
		}
		of := f.log(c.Device)
		size := min(c.Size, of.counts)
		if size > of.held() {
			of.block(e.Device)
			return &Wait{NotHere, c.Device, size}, nil
		}
		size, here, err := f.seen(ctx, c)
		if err != nil {
			return nil, err
		}
		if !here {
			return &Wait{OtherRoot, c.Device, size}, nil
		}
		if size > of.closed {
			of.block(e.Device)
			return &Wait{HeldUp, c.Device, size}, nil
		}
	}
	return nil, nil
}

// seen is how many entries of a log count as seen by who cites it, and whether
// they are those that are here. So many are held.
func (f *Front) seen(ctx context.Context, c journal.Prefix) (size int64, here bool, err error) {
	of := f.log(c.Device)
	if size = min(c.Size, of.counts); size < c.Size {
		return size, true, nil // beyond what counts nobody knows which branch it was
	}
	root, err := f.roots.RootAt(ctx, c.Device, size)
	switch {
	case err != nil:
		return size, false, err
	case c.Fits(root):
		return size, true, nil
	case size > of.parts:
		return of.parts, true, nil
	default:
		return size, false, nil
	}
}

// block notes that the next entry of a device's log waits for this one.
func (l *log) block(device journal.DeviceID) {
	if !slices.Contains(l.blocks, device) {
		l.blocks = append(l.blocks, device)
	}
}
