package journal_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// golden reads the kept entry of a kind, which testdata/entries/gen wrote
// once and which is never written again.
func golden(t testing.TB, kind journal.Kind) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "testdata", "entries", fmt.Sprintf("%s.v%d.json", kind, kind.Version())))
	if err != nil {
		t.Fatalf("%s has no golden entry: %v", kind, err)
	}
	return raw
}

func TestGoldenEntries(t *testing.T) {
	for _, d := range journaltest.Samples() {
		kind := d.Data.Kind()
		t.Run(string(kind), func(t *testing.T) {
			raw := golden(t, kind)
			e, err := journal.Decode(raw)
			if err != nil {
				t.Fatal(err)
			}
			if e.Type.Kind != kind || e.Subject != d.Subject || e.By != d.By {
				t.Errorf("got %s about %s by %s", e.Type, e.Subject, e.By)
			}
			data, err := e.Payload()
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(data, d.Data) {
				t.Errorf("got  %+v\nwant %+v", data, d.Data)
			}
			again, err := journaltest.Golden(d)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(again, raw) {
				t.Errorf("the draft is now written as\n%s\nand was\n%s", again, raw)
			}
			if same, err := e.Encode(); err != nil || !bytes.Equal(same, raw) {
				t.Errorf("the decoded entry encodes as\n%s\n%v", same, err)
			}
		})
	}
}

// Every golden file belongs to a known kind: a kind is never taken back.
func TestGoldenEntriesAreAllOfKnownKinds(t *testing.T) {
	names, err := filepath.Glob(filepath.Join("..", "testdata", "entries", "*.json"))
	if err != nil || len(names) == 0 {
		t.Fatalf("found %d golden entries, %v", len(names), err)
	}
	for _, name := range names {
		raw, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		e, err := journal.Decode(raw)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !e.Type.Kind.Known() {
			t.Errorf("%s: the kind %s is known no more", name, e.Type.Kind)
		}
	}
}

// changed are the kinds whose versions differ in more than new fields.
func changed() []journal.Kind {
	return []journal.Kind{journal.PowderReceived, journal.BakeStarted, journal.ProbeLogged, journal.PartStripped, journal.BoreUnmasked, journal.SeatProved, journal.DefectFound}
}

// What earlier programs wrote is read as what it would be today.
func TestEarlierVersionsAreRead(t *testing.T) {
	now := map[journal.Kind]journal.Payload{}
	for _, d := range journaltest.Samples() {
		now[d.Data.Kind()] = d.Data
	}
	for _, kind := range changed() {
		raw, err := os.ReadFile(filepath.Join("..", "testdata", "entries", fmt.Sprintf("%s.v1.json", kind)))
		if err != nil {
			t.Fatal(err)
		}
		e, err := journal.Decode(raw)
		if err != nil {
			t.Fatal(err)
		}
		then, err := e.Payload()
		if err != nil {
			t.Fatalf("%s: %v", e.Type, err)
		}
		if reflect.TypeOf(then) != reflect.TypeOf(now[kind]) || then.Say() == "" {
			t.Errorf("%s is read as %T", e.Type, then)
		}
		// A field that came later stays unknown to the version that had none, and a
		// correction may say in the present form what an earlier one said.
		data, err := journal.MarshalPayload(now[kind])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := journal.ParsePayload(e.Type, data); err == nil {
			t.Errorf("%s takes what came later", e.Type)
		}
		if got, err := journal.ParseReplacement(e.Type, data); err != nil || !reflect.DeepEqual(got, now[kind]) {
			t.Errorf("%s is corrected to %+v, %v", e.Type, got, err)
		}
	}
}
