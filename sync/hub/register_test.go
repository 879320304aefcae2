package hub

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// The register goes by entries that count where they lie, and by no others.
func TestRegisterGoesByWhatCounts(t *testing.T) {
	const office = journaltest.Office
	revocation := journal.Draft{Subject: journal.Of("device", string(journaltest.Bench)), By: journaltest.Io,
		Data: &journal.Revocation{Device: journaltest.Bench, Reason: "lost"}}
	for name, c := range map[string]struct {
		in, as  journal.DeviceID
		falls   bool
		revoked bool
	}{
		"the hub’s":                        {office, office, false, true},
		"the hub’s, with an id that falls": {office, office, true, false},
		"in another's name":                {office, journaltest.Bench, false, false},
		"a tablet's":                       {journaltest.Bench, journaltest.Bench, false, false},
		"a tablet's in the hub’s name":     {journaltest.Bench, office, false, false},
	} {
		r := newRegister(journal.Authority{Shop: journaltest.Shop, Hub: office})
		r.devices[journaltest.Bench] = &enrolled{Device: journal.Device{Device: journaltest.Bench}}
		e, err := journaltest.NewAuthor(c.as, journaltest.NewWatch(journaltest.Morning()), name).Write(revocation)
		if err != nil {
			t.Fatal(err)
		}
		raw, err := e.Encode()
		if err != nil {
			t.Fatal(err)
		}
		err = r.read(func(yield func(journal.Logged, error) bool) {
			yield(journal.Logged{Position: journal.Position{Device: c.in, Index: 4}, Bytes: raw, Falls: c.falls}, nil)
		})
		if err != nil {
			t.Fatal(err)
		}
		if got := r.devices[journaltest.Bench].revoked; got != c.revoked || r.changed != c.revoked || r.next != 5 {
			t.Errorf("%s: revoked %v, to be told %v, read on at %d", name, got, r.changed, r.next)
		}
		if got := len(r.clients()); (got == 0) != c.revoked {
			t.Errorf("%s: %d devices may connect", name, got)
		}
	}
}
