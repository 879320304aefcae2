package evidence

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// register is what the hub's log says of shop and devices, as far as it is
// here and proven.
type register struct {
	founding *journal.Shop
	hub      proof.Succession // the hub's keys, one after the other
	loose    []*entry         // that change the hub's keys and do not follow from those before
	keys     map[journal.DeviceID][]string
	counts   map[journal.DeviceID]int64 // so many entries of the log count at most
	common   map[journal.DeviceID]int64 // so many entries all histories of the log have
}

// seen returns how many entries of a log who cites so many counts as having
// seen: of several histories those that all have.
func (g *register) seen(device journal.DeviceID, size int64) int64 {
	if common, parted := g.common[device]; parted {
		return min(size, common)
	}
	return size
}

// found reads the founding entry, the first of the hub's log: it names the
// hub's keys, and is itself proven by them. Who may be trusted to be the hub
// is for the receipt to say.
func (r *reading) found() error {
	r.reg = register{keys: make(map[journal.DeviceID][]string), counts: make(map[journal.DeviceID]int64), common: make(map[journal.DeviceID]int64)}
	e := r.entries[At{Device: r.d.Hub}]
	if e == nil || e.kind() != journal.ShopFounded {
		return nil
	}
	p, err := r.payload(e)
	shop, ok := p.(*journal.Shop)
	if err != nil || !ok || shop.Shop != r.d.Shop {
		return err
	}
	cosigner, err := proof.CosignVerifier(shop.CosignKey)
	if err != nil || cosigner.Name() != proof.CosignerName(r.d.Shop) {
		return nil
	}
	r.reg.founding, r.reg.hub = shop, proof.Founded(r.d.Shop, r.d.Hub, shop.LogKey, shop.CosignKey)
	r.reg.hub.Agreed = proof.Told // who agreed is told with it
	r.reg.keys[r.d.Hub] = []string{shop.LogKey}
	return r.succeed()
}

// learn reads what the proven entries of the hub's log say of devices.
func (r *reading) learn() error {
	for _, e := range r.list {
		if e.At.Device != r.d.Hub || e.in == nil || e.void != "" {
			continue
		}
		switch e.kind() {
		case journal.DeviceEnrolled, journal.LogsClosed, journal.LogsParted:
		default:
			continue
		}
		p, err := r.payload(e)
		if err != nil {
			return err
		}
		switch p := p.(type) {
		case *journal.Device:
			r.reg.keys[p.Device] = append(r.reg.keys[p.Device], p.LogKey)
		case *journal.LogClosing:
			r.reg.counts[p.Device] = least(r.reg.counts, p.Device, p.Counts)
			r.reg.common[p.Device] = least(r.reg.common, p.Device, p.Counts)
		case *journal.LogParting:
			r.reg.common[p.Device] = least(r.reg.common, p.Device, p.Common)
		}
	}
	return nil
}

func least(known map[journal.DeviceID]int64, device journal.DeviceID, n int64) int64 {
	if before, ok := known[device]; ok {
		return min(before, n)
	}
	return n
}

// checkRegister says what is missing or wrong in what admits the logs.
func (r *reading) checkRegister(a *Answer) {
	if r.reg.founding == nil {
		at := At{Device: r.d.Hub}
		a.add(Finding{NoFounding, No, "The entry that founds the shop and names the hub’s keys, the first of the hub’s log, is not here or cannot be read.", []At{at}, paths(EntryPath(at))})
	}
	for _, l := range r.d.Logs {
		keys := r.reg.keys[l.Device]
		switch {
		case len(keys) == 0 && l.Device != r.d.Hub:
			a.add(Finding{NotAdmitted, No, fmt.Sprintf("No entry of the register that is here and proven admits the device %s, whose log this file rests on.", l.Device), nil, nil})
		case len(keys) > 0 && !slices.Equal(keys, l.Keys):
			a.add(Finding{KeysDiffer, No, fmt.Sprintf("The keys that are given for the log of %s are not those with which the register admitted it.", l.Device), nil, paths(DossierPath)})
		}
	}
}
