package folder_test

import (
	"errors"
	"testing"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/segment"
)

// appeals has a hub's folder go on with keys that the ones before did not sign,
// and returns what its tablets are asked.
func appeals(t *testing.T, dir string, next folder.NextKeys) segment.Appeal {
	t.Helper()
	f, err := folder.Open(t.Context(), dir, opts)
	if err != nil {
		t.Fatal(err)
	}
	p, err := f.FoundKeys(t.Context(), journal.KeysLost, "io", next)
	if err != nil || !p.Unsigned() {
		t.Fatal(err)
	}
	head, err := f.Log.Head(t.Context(), f.Device)
	if err != nil {
		t.Fatal(err)
	}
	list, err := f.Log.Pick(t.Context(), []journal.Position{{Device: f.Device, Index: head.Size - 1}})
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
	return segment.Appeal{Brokers: []string{"127.0.0.1:7461"}, Entry: list[0].Bytes}
}

// tabletOf makes a tablet of a hub's shop, which holds the hub's log.
func tabletOf(t *testing.T, hub string) string {
	t.Helper()
	dir := found(t)
	id, err := folder.ReadIdentity(dir)
	if err != nil {
		t.Fatal(err)
	}
	of, err := folder.ReadIdentity(hub)
	if err != nil {
		t.Fatal(err)
	}
	id.Hub, id.HubKey, id.CosignKey, id.Fingerprint = of.Hub, of.HubKey, of.CosignKey, of.Fingerprint
	if err := folder.WriteIdentity(dir, id); err != nil {
		t.Fatal(err)
	}
	f := open(t, dir)
	if err := f.Gather(t.Context(), folder.DatabasePath(hub)); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return dir
}

// A tablet goes by new keys that the old ones did not sign if its person agreed
// to just these, and to nothing else.
func TestATabletAgrees(t *testing.T) {
	hub, old := foundHub(t)
	other, _ := foundHub(t)
	dir := tabletOf(t, hub)
	next := drawHubKeys(t)
	asked := appeals(t, hub, next)
	f, err := folder.Open(t.Context(), dir, opts)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Gather(t.Context(), folder.DatabasePath(hub)); err == nil {
		t.Error("keys that nobody agreed to are followed")
	}
	bent := func(how func(*journal.KeyChange)) segment.Appeal {
		t.Helper()
		e, err := journal.Decode(asked.Entry)
		if err != nil {
			t.Fatal(err)
		}
		payload, err := e.Payload()
		if err != nil {
			t.Fatal(err)
		}
		how(payload.(*journal.KeyChange))
		if e.Data, err = journal.MarshalPayload(payload); err != nil {
			t.Fatal(err)
		}
		raw, err := e.Encode()
		if err != nil {
			t.Fatal(err)
		}
		return segment.Appeal{Entry: raw}
	}
	for name, test := range map[string]struct {
		a    segment.Appeal
		want error
	}{
		"nothing":                         {segment.Appeal{Entry: []byte("{}")}, segment.ErrAppeal},
		"of another hub’s keys":           {appeals(t, other, drawHubKeys(t)), folder.ErrOtherOldKeys},
		"another certificate than signed": {bent(func(p *journal.KeyChange) { p.Certificate = old.Fingerprint }), proof.ErrKeyChange},
		"another key than signed":         {bent(func(p *journal.KeyChange) { p.LogKey = drawHubKeys(t).Log.Verifier() }), proof.ErrKeyChange},
		"after other keys than here":      {bent(func(p *journal.KeyChange) { p.OldLogKey = drawHubKeys(t).Log.Verifier() }), folder.ErrOtherOldKeys},
	} {
		if _, err := f.Agree(t.Context(), test.a, "io"); !errors.Is(err, test.want) {
			t.Errorf("%s: %v, want %v", name, err, test.want)
		}
	}
	if head, err := f.Log.Head(t.Context(), f.Device); err != nil || head.Size != 0 {
		t.Fatalf("the tablet’s log has %d entries (%v)", head.Size, err)
	}
	if got := f.Pin(t.Context()); got != old.Fingerprint {
		t.Errorf("the tablet knows its hub by %s", got)
	}
	if _, err := f.Agree(t.Context(), asked, "io"); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Agree(t.Context(), asked, "io"); !errors.Is(err, folder.ErrAgreed) {
		t.Errorf("agreed twice: %v", err)
	}
	if got := f.Pin(t.Context()); got != next.Fingerprint {
		t.Errorf("the tablet knows its hub by %s before it met it", got)
	}
	if len(f.SaysAgreed()) == 0 {
		t.Error("it does not tell its hub")
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}

	// Over a start it goes by what was agreed, and follows.
	f = open(t, dir)
	if head, err := f.Log.Head(t.Context(), f.Device); err != nil || head.Size != 1 {
		t.Errorf("the tablet’s log has %d entries (%v), want that it agreed", head.Size, err)
	}
	if err := f.Gather(t.Context(), folder.DatabasePath(hub)); err != nil {
		t.Error(err)
	}
	if keys, err := f.Log.Succession(t.Context()); err != nil || keys.Now().Log != next.Log.Verifier() {
		t.Errorf("it goes by other keys (%v)", err)
	}
	if got := f.Pin(t.Context()); got != next.Fingerprint || len(f.Brokers) != 1 {
		t.Errorf("it knows its hub by %s at %v", got, f.Brokers)
	}
	// To keys that follow others than those of now it does not agree any more.
	again, _ := foundHub(t)
	if _, err := f.Agree(t.Context(), appeals(t, again, drawHubKeys(t)), "io"); !errors.Is(err, folder.ErrOtherOldKeys) {
		t.Errorf("agreed to keys that follow others: %v", err)
	}
}
