package invented

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// Logs are those that devices write, each of which holds what the others wrote
// before.
type Logs struct {
	shop    journal.ShopID
	hub     journal.DeviceID
	rand    io.Reader
	devices map[journal.DeviceID]*device
	newest  journal.EntryID
}

// device is one that writes.
type device struct {
	clock   *journal.Clock
	now     time.Time
	started time.Time
	tree    proof.Tree
}

// NewLogs begins logs of a shop. What they hold of the hub's log from the
// beginning is its size and root; rand draws the names of entries.
func NewLogs(shop journal.ShopID, hub journal.DeviceID, held proof.Tree, rand io.Reader) *Logs {
	return &Logs{shop: shop, hub: hub, rand: rand, devices: map[journal.DeviceID]*device{hub: {tree: held}}}
}

// Write writes a step into the log of its device.
func (l *Logs) Write(s Step) (journal.Logged, error) {
	data, err := s.Data()
	if err != nil {
		return journal.Logged{}, err
	}
	draft := journal.Draft{Subject: s.About, By: s.By, Data: data}
	if err := draft.Valid(); err != nil {
		return journal.Logged{}, fmt.Errorf("%s about %s: %w", data.Kind(), s.About, err)
	}
	raw, err := journal.MarshalPayload(data)
	if err != nil {
		return journal.Logged{}, err
	}
	d := l.at(s.On, s.At)
	id, err := d.clock.Next()
	if err != nil {
		return journal.Logged{}, err
	}
	kind := data.Kind()
	hub := &l.devices[l.hub].tree
	e := &journal.Entry{
		SpecVersion: "1.0", ID: id, Source: journal.Source{Shop: l.shop, Device: s.On}, Type: journal.Type{Kind: kind, Version: kind.Version()}, Subject: s.About,
		Time: journal.Stamp(s.At), DataContentType: "application/json", By: s.By, Boot: journal.BootID(s.At.Format("20060102")), Uptime: journal.Uptime(s.At.Sub(d.started)),
		After: l.held(s.On), Data: raw,
	}
	if hub.Size() > 0 {
		e.Seen = journal.Seen{Size: hub.Size(), Root: hub.Root()}
	}
	bytes, err := e.Encode()
	if err != nil {
		return journal.Logged{}, err
	}
	at := journal.Position{Device: s.On, Index: d.tree.Size()}
	d.tree.Append(bytes)
	if l.newest = id; s.Wrote != nil {
		s.Wrote(id)
	}
	return journal.Logged{Position: at, Bytes: bytes}, nil
}

// at is the device of a log at a moment, switched on in the morning.
func (l *Logs) at(name journal.DeviceID, now time.Time) *device {
	d := l.devices[name]
	if d == nil {
		d = new(device)
		l.devices[name] = d
	}
	if d.clock == nil {
		d.clock = journal.NewClock(func() time.Time { return d.now }, l.rand)
	}
	if d.now.Format(time.DateOnly) != now.Format(time.DateOnly) {
		d.started = now.Add(-4 * time.Minute)
	}
	d.now = now
	if !l.newest.IsZero() {
		d.clock.Follow(l.newest)
	}
	return d
}

// held is what a device holds of the others' logs.
func (l *Logs) held(by journal.DeviceID) (list journal.After) {
	for name, d := range l.devices {
		if name != by && d.tree.Size() > 0 {
			root := d.tree.Root()
			list = append(list, journal.Prefix{Device: name, Size: d.tree.Size(), Root: [16]byte(root[:16])})
		}
	}
	slices.SortFunc(list, func(a, b journal.Prefix) int { return strings.Compare(string(a.Device), string(b.Device)) })
	return list
}

// Learn takes note of an entry that the hub wrote itself.
func (l *Logs) Learn(raw []byte, id journal.EntryID) {
	l.devices[l.hub].tree.Append(raw)
	l.newest = id
}

// Head is the size and the root of a device's log, signed with its key.
func (l *Logs) Head(of journal.DeviceID, key proof.Key) ([]byte, error) {
	tree := &l.devices[of].tree
	return proof.Sign(key.Signer(), tree.Size(), tree.Root())
}
