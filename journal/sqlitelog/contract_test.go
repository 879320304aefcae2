package sqlitelog_test

import (
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

func TestContract(t *testing.T) {
	journaltest.TestLog(t, func(t *testing.T) journaltest.Pair {
		w := journaltest.NewWatch(journaltest.Morning())
		keys := map[journal.DeviceID]proof.Key{}
		for _, device := range []journal.DeviceID{journaltest.Office, journaltest.Bench} {
			keys[device], _ = proof.NewKey(journaltest.Rand(string(device)), proof.Origin(journaltest.Shop, device))
		}
		open := func(own, other journal.DeviceID) *sqlitelog.DB {
			db, err := sqlitelog.Open(t.Context(), filepath.Join(t.TempDir(), "log.db"), sqlitelog.Options{
				Shop: journaltest.Shop, Own: own, Key: keys[own], Hub: journaltest.Office, HubKey: keys[journaltest.Office].Verifier(),
				Boot: "b1", Clock: journal.NewClock(w.Now, journaltest.Rand("x"+string(own))), Now: w.Now, Started: w.Now(),
			})
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { db.Close() })
			if err := db.Know(t.Context(), other, keys[other].Verifier()); err != nil {
				t.Fatal(err)
			}
			return db
		}
		return journaltest.Pair{Mine: open(journaltest.Office, journaltest.Bench), Other: open(journaltest.Bench, journaltest.Office), OtherKey: keys[journaltest.Bench]}
	})
}
