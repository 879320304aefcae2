package sqlitelog_test

import (
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// TestSuppose: what is supposed is what would be written, and nothing is.
func TestSuppose(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	key, err := proof.NewKey(journaltest.Rand("suppose"), proof.Origin(journaltest.Shop, journaltest.Bench))
	if err != nil {
		t.Fatal(err)
	}
	db, err := sqlitelog.Open(t.Context(), filepath.Join(t.TempDir(), "log.db"), sqlitelog.Options{
		Shop: journaltest.Shop, Own: journaltest.Bench, Key: key, Hub: journaltest.Bench, HubKey: key.Verifier(),
		Boot: "b1", Clock: journal.NewClock(w.Now, journaltest.Rand("clock")), Now: w.Now, Started: w.Now(),
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	woken := db.Woken()
	d := journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "boot torn"}}}

	supposed, err := db.Suppose(t.Context(), d)
	if err != nil {
		t.Fatal(err)
	}
	if head, err := db.Head(t.Context(), journaltest.Bench); err != nil || head.Size != 0 {
		t.Fatalf("supposing wrote something: %+v, %v", head, err)
	}
	select {
	case <-woken:
		t.Error("supposing woke those who wait for writes")
	default:
	}
	written, err := db.Append(t.Context(), d)
	if err != nil {
		t.Fatal(err)
	}
	e, err := journal.Decode(supposed.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	if written.ID.String() <= e.ID.String() {
		t.Errorf("the entry %s does not follow the one supposed before it, %s", written.ID, e.ID)
	}
	e.ID, e.Time, e.Uptime = written.ID, written.Time, written.Uptime
	got, _ := e.Encode()
	if want, _ := written.Encode(); string(got) != string(want) {
		t.Errorf("supposed %s\nwritten %s", got, want)
	}
	if supposed.Device != journaltest.Bench || supposed.Index != 0 {
		t.Errorf("it is supposed at %+v", supposed.Position)
	}
	d.By = ""
	if _, err := db.Suppose(t.Context(), d); err == nil {
		t.Error("a draft that cannot be written can be supposed")
	}
}
