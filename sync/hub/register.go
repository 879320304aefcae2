package hub

import (
	"iter"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
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
	noted       map[journal.DeviceID]int64         // from where on the log cites
	held        map[journal.DeviceID]int64         // how much of each log the hub had when it wrote
	closings    journal.Closings
	asked       journal.Digest            // keys of the hub that the ones before did not sign; zero where there are none
	asks        map[journal.DeviceID]bool // who was there before them: each has to agree
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
		clocks: map[journal.DeviceID]time.Duration{}, noted: map[journal.DeviceID]int64{}, held: map[journal.DeviceID]int64{}}
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
		for _, p := range e.After {
			r.held[p.Device] = max(r.held[p.Device], p.Size)
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
	r.closings.Read(payload)
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
		r.changed = true
	case *journal.KeyChange:
		if p.Unsigned() {
			r.asked, r.asks = p.New(), map[journal.DeviceID]bool{}
			for device := range r.devices {
				r.asks[device] = true
			}
		}
	case *journal.LogNote:
		r.note(p.Device, p.From)
	case *journal.ClockReading:
		r.clocks[p.Device] = time.Duration(p.OffsetMs) * time.Millisecond
	}
}

func (r *register) note(device journal.DeviceID, from int64) {
	if n, ok := r.noted[device]; !ok || from < n {
		r.noted[device] = from
	}
}

// clients lists who may connect, in the order of their names. It is a pure
// function of the register.
func (r *register) clients() []Client {
	var list []Client
	for _, d := range r.devices {
		if d.revoked {
			continue
		}
		list = append(list, Client{Device: d.Device.Device, Key: d.ConnectKey})
	}
	slices.SortFunc(list, func(a, b Client) int { return strings.Compare(string(a.Device), string(b.Device)) })
	return list
}
