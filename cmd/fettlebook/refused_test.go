package main

import (
	"bytes"
	"crypto/rand"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/uplink"
)

// Who writes at a tablet that its hub does not let in is told so, and since when, also
// while no program runs there; elsewhere nothing is said.
func TestAddSaysThatTheHubLetsNobodyIn(t *testing.T) {
	key, err := proof.NewKey(rand.Reader, proof.Origin("k7m2q4xw", "t1aaaaaa"))
	if err != nil {
		t.Fatal(err)
	}
	db, err := sqlitelog.Open(t.Context(), filepath.Join(t.TempDir(), "journal.db"), sqlitelog.Options{Shop: "k7m2q4xw", Own: "t1aaaaaa", Key: key,
		Hub: "h3fz8c1n", HubKey: key.Verifier(), Boot: "b0", Clock: journal.NewClock(time.Now, rand.Reader), Now: time.Now, Started: time.Now()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	said := new(bytes.Buffer)
	k := &entryWriter{t: &terminal{Err: said, Now: func() time.Time { return time.Now().UTC() }}, log: db}
	for mark, want := range map[string]string{
		"":                     "",
		"2027-03-02T14:03:00Z": "note: the hub has not let this tablet in since 2 March 2027 14:03: it was revoked or cut off there",
	} {
		said.Reset()
		if err := db.SetMark(t.Context(), uplink.MarkRefused, mark); err != nil {
			t.Fatal(err)
		}
		if err := k.sayRefused(t.Context()); err != nil || !strings.HasPrefix(said.String(), want) || want == "" && said.Len() > 0 {
			t.Errorf("marked %q: %q, %v", mark, said, err)
		}
	}
}
