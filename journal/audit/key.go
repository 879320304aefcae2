package audit

import (
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/note"
)

// verifier finds the key that a log must be signed with: the hub's is the one
// the folder was set up with, all others stand in the hub's log. The key that
// the database keeps is only believed where the register says nothing.
func (a *audit) verifier(l RawLog) (note.Verifier, string) {
	device := journal.DeviceID(l.Device)
	at := Where{Part: Key, Log: device}
	want, registered := a.enrolled[device]
	if device == a.Hub {
		want, registered = a.HubKey, a.HubKey != ""
	}
	switch {
	case registered && l.Key != want:
		a.damage(at, "The key kept for this log is not the one in the shop’s register.", doAsk)
	case !registered && l.Key == "":
		a.damage(at, "There is no key for this log, so nothing of it can be verified.", doSync)
		return nil, ""
	case !registered:
		a.report.add(Finding{here(a.owns(a.Hub)), at, "The shop’s register, as far as it is here, does not name this device, so its key rests on this database alone.", doSync})
		want = l.Key
	}
	a.register.Keys[device] = want
	v, err := proof.Verifier(want)
	if err != nil {
		a.damage(at, "The key of this log cannot be read, so nothing of it can be verified.", doKeys)
		return nil, ""
	}
	if v.Name() != proof.Origin(a.Shop, device) {
		a.damage(at, "The key of this log is the key of another log.", doAsk)
		return nil, ""
	}
	return v, want
}

// checkFounding compares what the hub wrote first with what the folder was
// set up with.
func (a *audit) checkFounding(at Where, p *journal.Shop) {
	a.register.ShopName = p.Name
	if p.Shop != a.Shop || p.LogKey != a.HubKey || p.CosignKey != a.CosignKey {
		a.damage(at, "The shop was founded with other names or keys than those that this folder was set up with.", doKeys)
	}
}

// enrol notes the key of a device. The first one holds for ever.
func (a *audit) enrol(at Where, p *journal.Device) {
	if known, twice := a.enrolled[p.Device]; twice && known != p.LogKey {
		a.damage(at, "This device was enrolled before with another key.", doLook)
		return
	}
	a.enrolled[p.Device], a.register.Devices[p.Device] = p.LogKey, *p
}

// checkAbsent looks for logs that must be here: an enrolled device has one
// from the moment its enrolment came in, if only an empty one.
func (a *audit) checkAbsent() {
	must := maps.Clone(a.enrolled)
	for _, d := range append([]journal.DeviceID{a.Hub}, a.Own...) {
		must[d] = ""
	}
	for _, d := range slices.Sorted(maps.Keys(must)) {
		if d != "" && !a.present[d] {
			a.damage(Where{Part: Log, Log: d}, "This log is gone, although the register or this folder names its device.", doRestore)
		}
	}
}

// fork is the hub's word that a device showed two histories.
type fork struct {
	at Where
	journal.ForkFound
}

// checkForks lists forked and closed logs. A fork rests on two checkpoints
// that the device itself signed.
func (a *audit) checkForks(logs []RawLog) {
	forked := map[journal.DeviceID]bool{}
	for _, f := range a.forks {
		forked[f.Device] = true
		if a.provesFork(f, logs) {
			a.remark(Where{Part: Log, Log: f.Device}, "This device showed two histories; both are kept, and records that it touches say so.", doLook)
		} else {
			a.damage(f.at, "It says that a device showed two histories, but its two checkpoints are not both signed by that device, or are the same.", doAsk)
		}
	}
	for _, l := range logs {
		if device := journal.DeviceID(l.Device); l.Closed != "" && !forked[device] {
			a.remark(Where{Part: Log, Log: device}, "This log takes no more entries here: "+l.Closed+".", doNothing)
		}
	}
}

func (a *audit) provesFork(f fork, logs []RawLog) bool {
	if f.Device == a.Hub {
		held, err := a.keys.OpenState([]byte(f.Held))
		if err != nil {
			return false
		}
		shown, err := a.keys.OpenAny([]byte(f.Shown))
		return err == nil && held.Seen() != shown.Seen()
	}
	text, known := a.enrolled[f.Device]
	if i := slices.IndexFunc(logs, func(l RawLog) bool { return l.Device == string(f.Device) }); !known && i >= 0 {
		text = logs[i].Key
	}
	key, err := proof.Verifier(text)
	if err != nil {
		return false
	}
	held, err := proof.Open([]byte(f.Held), key)
	if err != nil {
		return false
	}
	shown, err := proof.Open([]byte(f.Shown), key)
	return err == nil && held.Seen() != shown.Seen()
}
