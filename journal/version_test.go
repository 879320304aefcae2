package journal_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// Entries of versions that are written no more are read whole: nothing of
// their data is lost, and what came later is not in it.
func TestOlderVersions(t *testing.T) {
	names, err := filepath.Glob(filepath.Join("..", "testdata", "entries", "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	older := 0
	for _, name := range names {
		raw, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		e, err := journal.Decode(raw)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if e.Type.Version == e.Type.Kind.Version() || slices.Contains(changed(), e.Type.Kind) {
			continue // TestGoldenEntries, TestEarlierVersionsAreRead
		}
		older++
		data, err := e.Payload()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if again, err := journal.MarshalPayload(data); err != nil || !bytes.Equal(again, e.Data) {
			t.Errorf("%s is now\n%s\nand was\n%s", name, again, e.Data)
		}
		if data.Say() == "" {
			t.Errorf("%s has no sentence", name)
		}
	}
	if older == 0 {
		t.Error("no entry of an older version was found")
	}
}

// What a version came with may be left out, is refused in an older entry, and
// is taken when an older entry is corrected.
func TestFieldsOfALaterVersion(t *testing.T) {
	found := 0
	for _, d := range journaltest.Samples() {
		kind := d.Data.Kind()
		of := reflect.TypeOf(d.Data).Elem()
		for i := range of.NumField() {
			field := of.Field(i)
			tag, marked := field.Tag.Lookup("since")
			if !marked {
				continue
			}
			found++
			since, err := strconv.Atoi(tag)
			if err != nil || since < 2 || since > kind.Version() || !strings.Contains(field.Tag.Get("json"), ",omit") {
				t.Errorf("%s: the field %s is marked %q, of version %d", kind, field.Name, tag, kind.Version())
				continue
			}
			raw, err := journal.MarshalPayload(d.Data)
			if err != nil {
				t.Fatal(err)
			}
			old := journal.Type{Kind: kind, Version: since - 1}
			var invalid *journal.Invalid
			name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			if _, err := journal.ParsePayload(old, raw); !errors.As(err, &invalid) || !strings.Contains(err.Error(), "the field "+name+" is not a field of version") {
				t.Errorf("%s: the field %s in version %d gives %v", kind, name, since-1, err)
			}
			if _, err := journal.ParseReplacement(old, raw); err != nil {
				t.Errorf("%s: a correction of version %d gives %v", kind, since-1, err)
			}
		}
	}
	if found == 0 {
		t.Error("no field of a later version was found")
	}
	for _, version := range []int{0, journal.TorqueApplied.Version() + 1} {
		if _, err := journal.ParsePayload(journal.Type{Kind: journal.TorqueApplied, Version: version}, []byte(`{}`)); !errors.Is(err, journal.ErrUnknownKind) {
			t.Errorf("version %d gives %v", version, err)
		}
	}
}
