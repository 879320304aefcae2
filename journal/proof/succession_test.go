package proof_test

import (
	"errors"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
)

// pair are a hub's keys by a letter.
func pair(t testing.TB, letter byte) proof.HubKeys {
	t.Helper()
	return proof.HubKeys{Log: newKey(t, office, letter), Cosign: newKey(t, hub, letter+32)}
}

// changed writes the change from one pair of keys to another; bend may spoil it.
func changed(t testing.TB, old, next proof.HubKeys, after journal.After, bend func(*journal.KeyChange)) *journal.Entry {
	t.Helper()
	p := &journal.KeyChange{Because: journal.KeysStolen, Certificate: "62af8704764faf8ea82fc61ce9c4c3908b6cb97d463a634e9e587d7c885db0ef"}
	proof.SignKeyChange(p, journaltest.Shop, journaltest.Office, old, next)
	if bend != nil {
		bend(p)
	}
	a := journaltest.NewAuthor(journaltest.Office, journaltest.NewWatch(journaltest.Morning()), "change")
	a.After = after
	e, err := a.Write(journal.Draft{Subject: journal.Of("shop", string(journaltest.Shop)), By: journaltest.Io, Data: p})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func founded(k proof.HubKeys) proof.Succession {
	return proof.Founded(journaltest.Shop, journaltest.Office, k.Log.Verifier(), k.Cosign.Verifier())
}

// A change counts if the keys before it and the new ones signed it, and no other.
func TestSuccession(t *testing.T) {
	a, b, c := pair(t, 'a'), pair(t, 'b'), pair(t, 'c')
	keys := founded(a)
	if err := keys.Add(changed(t, a, b, nil, nil), 7); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		size int64
		log  proof.Key
	}{{1, a.Log}, {7, a.Log}, {8, b.Log}, {800, b.Log}} {
		if got := keys.At(test.size); got.Log != test.log.Verifier() {
			t.Errorf("the state of %d is signed with %s", test.size, got.Log)
		}
	}
	thief := pair(t, 't')
	for name, wrong := range map[string]struct {
		e  *journal.Entry
		at int64
	}{
		"the same again":                 {changed(t, a, b, nil, nil), 9},
		"before the last one":            {changed(t, b, c, nil, nil), 5},
		"at the place of the last one":   {changed(t, b, c, nil, nil), 7},
		"by the key that was replaced":   {changed(t, a, thief, nil, nil), 9},
		"an old key comes back":          {changed(t, b, a, nil, nil), 9},
		"an old countersigning key":      {changed(t, b, proof.HubKeys{Log: c.Log, Cosign: a.Cosign}, nil, nil), 9},
		"without the old signature":      {changed(t, proof.HubKeys{Log: thief.Log, Cosign: b.Cosign}, c, nil, func(p *journal.KeyChange) { p.OldLogKey = b.Log.Verifier() }), 9},
		"without the new log key's":      {changed(t, b, proof.HubKeys{Log: thief.Log, Cosign: c.Cosign}, nil, func(p *journal.KeyChange) { p.LogKey = c.Log.Verifier() }), 9},
		"without the countersigning one": {changed(t, b, proof.HubKeys{Log: c.Log, Cosign: thief.Cosign}, nil, func(p *journal.KeyChange) { p.CosignKey = c.Cosign.Verifier() }), 9},
		"another reason than was signed": {changed(t, b, c, nil, func(p *journal.KeyChange) { p.Because = journal.KeysRenewed }), 9},
		"another certificate":            {changed(t, b, c, nil, func(p *journal.KeyChange) { p.Certificate = "0" + p.Certificate[1:] }), 9},
		"more was held than was signed":  {changed(t, b, c, nil, func(p *journal.KeyChange) { p.Held = journal.After{{Device: "q9hd2w0r", Size: 9}} }), 9},
		"a tablet's key for the log":     {changed(t, b, proof.HubKeys{Log: newKey(t, bench, 'c'), Cosign: c.Cosign}, nil, nil), 9},
		"a log key to countersign":       {changed(t, b, proof.HubKeys{Log: c.Log, Cosign: newKey(t, office, 'x')}, nil, nil), 9},
		"in the log of a tablet": {func() *journal.Entry {
			e := changed(t, b, c, nil, nil)
			e.Source.Device = journaltest.Bench
			return e
		}(), 9},
		"something else": {func() *journal.Entry {
			a := journaltest.NewAuthor(journaltest.Office, journaltest.NewWatch(journaltest.Morning()), "note")
			e, err := a.Write(journaltest.Sample(journal.NoteMade))
			if err != nil {
				t.Fatal(err)
			}
			return e
		}(), 9},
	} {
		k := keys.Clone()
		if err := k.Add(wrong.e, wrong.at); !errors.Is(err, proof.ErrKeyChange) || len(k.Reigns) != 2 {
			t.Errorf("%s: %v, %d pairs of keys", name, err, len(k.Reigns))
		}
	}
	if err := keys.Add(changed(t, b, c, nil, nil), 9); err != nil {
		t.Fatal(err)
	}
	if keys.Now().Log != c.Log.Verifier() || keys.At(9).Log != b.Log.Verifier() || keys.At(7).Log != a.Log.Verifier() {
		t.Error("the third pair does not follow the second")
	}
}

// What the old keys countersigned is good as far as the change had seen, by
// places in the logs and by no clock.
func TestCountersignedOverAChange(t *testing.T) {
	a, b := pair(t, 'a'), pair(t, 'b')
	keys := founded(a)
	p := changed(t, a, b, journal.After{{Device: journaltest.Bench, Size: 5}}, nil)
	if err := keys.Add(p, 7); err != nil {
		t.Fatal(err)
	}
	device := newKey(t, bench, 'd')
	at := func(size int64, log, cosign proof.Key, now time.Time) []byte {
		signed, err := proof.Sign(log.Signer(), size, root7(t))
		if err != nil {
			t.Fatal(err)
		}
		both, err := proof.Countersign(proof.Checkpoint{Note: signed}, verifier(t, log), cosign.Cosigner(func() time.Time { return now }))
		if err != nil {
			t.Fatal(err)
		}
		return both
	}
	early, late := noon().AddDate(-1, 0, 0), noon().AddDate(1, 0, 0)
	replaced := new(proof.Replaced)
	for name, test := range map[string]struct {
		of     journal.DeviceID
		signed []byte
		good   bool
		is     error
	}{
		"the tablet's, before":                            {journaltest.Bench, at(5, device, a.Cosign, early), true, nil},
		"the tablet's, before, by a clock that is off":    {journaltest.Bench, at(3, device, a.Cosign, late), true, nil},
		"the tablet's, after, with the old key":           {journaltest.Bench, at(6, device, a.Cosign, early), false, replaced},
		"the tablet's, after, with the new key":           {journaltest.Bench, at(6, device, b.Cosign, early), true, nil},
		"another tablet's, of which the change knew none": {"q9hd2w0r", at(1, newKey(t, "fettlebook/k7m2q4xw/q9hd2w0r", 'd'), a.Cosign, early), false, replaced},
		"the hub's, before":                               {journaltest.Office, at(7, a.Log, a.Cosign, late), true, nil},
		"the hub's, after":                                {journaltest.Office, at(8, b.Log, b.Cosign, late), true, nil},
		"the hub's, after, all with old keys":             {journaltest.Office, at(8, a.Log, a.Cosign, early), false, proof.ErrCheckpoint},
		"the hub's, after, the old one countersigns":      {journaltest.Office, at(8, b.Log, a.Cosign, early), false, replaced},
		"the hub's, before, with the new log key":         {journaltest.Office, at(7, b.Log, b.Cosign, early), false, proof.ErrCheckpoint},
		"by a stranger":                                   {journaltest.Bench, at(5, device, newKey(t, hub, 's'), early), false, proof.ErrNotCountersigned},
	} {
		key := device.Verifier()
		if test.of == "q9hd2w0r" {
			key = newKey(t, "fettlebook/k7m2q4xw/q9hd2w0r", 'd').Verifier()
		}
		_, _, _, err := keys.Open(test.signed, test.of, key)
		got := (*proof.Replaced)(nil)
		switch {
		case test.good != (err == nil):
			t.Errorf("%s: %v", name, err)
		case test.is == replaced && !errors.As(err, &got):
			t.Errorf("%s: %v, want that the key was replaced", name, err)
		case test.is != nil && test.is != replaced && !errors.Is(err, test.is):
			t.Errorf("%s: %v, want %v", name, err, test.is)
		}
	}
}
