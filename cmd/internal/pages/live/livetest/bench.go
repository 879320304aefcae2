package livetest

import (
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// Bench opens the log of a bench that is its own hub, by a watch, until the test ends. Its
// key is what signs the log, as a verifier.
func Bench(t testing.TB, w *journaltest.Watch) (log *sqlitelog.DB, key string) {
	t.Helper()
	signs, err := proof.NewKey(journaltest.Rand("bench"), proof.Origin(journaltest.Shop, journaltest.Bench))
	if err != nil {
		t.Fatal(err)
	}
	log, err = sqlitelog.Open(t.Context(), filepath.Join(t.TempDir(), "log.db"), sqlitelog.Options{
		Shop: journaltest.Shop, Own: journaltest.Bench, Key: signs, Hub: journaltest.Bench, HubKey: signs.Verifier(),
		Boot: "b1", Clock: journal.NewClock(w.Now, journaltest.Rand("clock")), Now: w.Now, Started: w.Now(),
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := log.Close(); err != nil {
			t.Error(err)
		}
	})
	return log, signs.Verifier()
}
