package hub

import (
	"iter"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// register is the shop's register as the hub's own log tells it: who may
// connect, which invitations stand, how the clocks stood.
type register struct {
	by          journal.Authority
	next        int64 // index of the next entry to read
	founded     bool
	changed     bool // who may connect is not yet told to the broker
	devices     map[journal.DeviceID]*enrolled
	invitations map[journal.Digest]invited
	clocks      map[journal.DeviceID]time.Duration // last recorded offset
	forked      map[journal.DeviceID]bool
	noted       map[journal.DeviceID]int64 // from where on the log cites
	closed      map[journal.DeviceID]int64 // so many entries of the log count, of the hub's own all histories have
}

type enrolled struct {
	journal.Device
	revoked bool
}

type invited struct {
	id      journal.EntryID
	expires time.Time
	name    string
	used    bool
}

func newRegister(by journal.Authority) register {
	return register{by: by, devices: map[journal.DeviceID]*enrolled{}, invitations: map[journal.Digest]invited{},
		clocks: map[journal.DeviceID]time.Duration{}, forked: map[journal.DeviceID]bool{},
		noted: map[journal.DeviceID]int64{}, closed: map[journal.DeviceID]int64{}}
}

// read applies entries.
func (r *register) read(entries iter.Seq2[journal.Logged, error]) error {
	for logged, err := range entries {
		if err != nil {
			return err
		}
		r.next = logged.Index + 1
		e, err := journal.Decode(logged.Bytes)
		if err != nil {
			continue // nothing that this version could act on
		}
		if r.by.Voids(e, logged.Device, logged.Falls) != "" {
			continue
		}
		r.apply(e)
	}
	return nil
}

// apply is the pure fold of one entry into the register.
func (r *register) apply(e *journal.Entry) {
	payload, err := e.Payload()
	if err != nil {
		return
	}
	switch p := payload.(type) {
	case *journal.Shop:
		r.founded, r.changed = true, true
	case *journal.Invitation:
		r.invitations[p.Token] = invited{id: e.ID, expires: time.Time(p.Expires), name: p.Name}
	case *journal.Device:
		r.devices[p.Device] = &enrolled{Device: *p}
		for token, i := range r.invitations {
			if i.id == p.Invitation {
				i.used = true
				r.invitations[token] = i
			}
		}
		r.changed = true
	case *journal.Revocation:
		if d, ok := r.devices[p.Device]; ok {
			d.revoked, r.changed = true, true
		}
	case *journal.ForkFound:
		r.forked[p.Device], r.changed = true, true
	case *journal.LogNote:
		r.note(p.Device, p.From)
	case *journal.LogClosing:
		r.close(p.Device, p.Counts)
	case *journal.LogParting:
		r.close(p.Device, p.Common)
	case *journal.ClockReading:
		r.clocks[p.Device] = time.Duration(p.OffsetMs) * time.Millisecond
	}
}

func (r *register) note(device journal.DeviceID, from int64) {
	if n, ok := r.noted[device]; !ok || from < n {
		r.noted[device] = from
	}
}

func (r *register) close(device journal.DeviceID, counts int64) {
	if n, ok := r.closed[device]; !ok || counts < n {
		r.closed[device] = counts
	}
}

// clients lists who may connect, in the order of their names. It is a pure
// function of the register.
func (r *register) clients(shop journal.ShopID) []Client {
	var list []Client
	for _, d := range r.devices {
		if d.revoked {
			continue
		}
		publish, subscribe := segment.Permissions(shop, d.Device.Device)
		list = append(list, Client{Device: d.Device.Device, Key: d.ConnectKey, Publish: publish, Subscribe: subscribe})
	}
	slices.SortFunc(list, func(a, b Client) int { return strings.Compare(string(a.Device), string(b.Device)) })
	return list
}
