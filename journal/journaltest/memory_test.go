package journaltest_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/note"
)

func TestMemoryKeepsTheContract(t *testing.T) { journaltest.TestLog(t, memories) }

// memories opens two stores that know each other.
func memories(t *testing.T) journaltest.Pair {
	t.Helper()
	w := journaltest.NewWatch(journaltest.Morning())
	keys := map[journal.DeviceID]proof.Key{}
	known := map[journal.DeviceID]note.Verifier{}
	for _, device := range []journal.DeviceID{journaltest.Office, journaltest.Bench} {
		key, err := proof.NewKey(journaltest.Rand(string(device)), proof.Origin(journaltest.Shop, device))
		if err != nil {
			t.Fatal(err)
		}
		if known[device], err = proof.Verifier(key.Verifier()); err != nil {
			t.Fatal(err)
		}
		keys[device] = key
	}
	open := func(device journal.DeviceID) *journaltest.Memory {
		return journaltest.NewMemory(journaltest.NewAuthor(device, w, string(device)), keys[device], known)
	}
	return journaltest.Pair{Mine: open(journaltest.Office), Other: open(journaltest.Bench), OtherKey: keys[journaltest.Bench]}
}
