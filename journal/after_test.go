package journal_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"

	"pgregory.net/rapid"
)

// What an entry cites of other logs is written, read and found again, and its
// schema takes it.
func TestEntryCitesOtherLogs(t *testing.T) {
	w := journaltest.NewWatch(journaltest.Morning())
	a := journaltest.NewAuthor(journaltest.Bench, w, "after")
	a.After = journal.After{
		{Device: "bench2", Size: 3, Root: [16]byte{1}},
		{Device: journaltest.Office, Size: journal.MaxLog, Root: [16]byte{2}},
	}
	raw, err := a.Encoded(journaltest.Sample(journal.NoteMade))
	if err != nil {
		t.Fatal(err)
	}
	e, err := journal.Decode(raw)
	if err != nil {
		t.Fatal(err)
	}
	if p := e.After.Of(journaltest.Office); p.Size != journal.MaxLog || !p.Fits([32]byte{2}) || p.Fits([32]byte{1}) {
		t.Errorf("of the office's log %+v is cited", p)
	}
	if p := e.After.Of("a-stranger"); p.Size != 0 {
		t.Errorf("of a stranger's log %+v is cited", p)
	}
	schema, err := journal.EntrySchema()
	if err := compiled(t, schema, err).Validate(decoded(t, raw)); err != nil {
		t.Error(err)
	}
}

// An entry that cites nothing is written as it was before entries cited.
func TestCitingNothingLeavesNoTrace(t *testing.T) {
	e, err := journal.Decode([]byte(banjo))
	if err != nil {
		t.Fatal(err)
	}
	e.After = journal.After{}
	raw, err := e.Encode()
	if err != nil || string(raw) != banjo {
		t.Errorf("encodes as\n%s\n%v", raw, err)
	}
}

// As many logs as may be cited fit, and their text is no longer than its cap.
func TestAfterHoldsAllLogs(t *testing.T) {
	var a journal.After
	if err := a.UnmarshalText([]byte(strings.Join(prefixes(journal.MaxAfter), " "))); err != nil || len(a) != journal.MaxAfter {
		t.Errorf("%d logs, %v", len(a), err)
	}
}

func TestAfterIsReadAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		devices := rapid.SliceOfNDistinct(rapid.StringMatching(`[A-Za-z0-9][A-Za-z0-9._-]{0,39}`), 1, journal.MaxAfter, rapid.ID).Draw(t, "devices")
		var a journal.After
		for _, d := range slices.Sorted(slices.Values(devices)) {
			root := rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "root")
			a = append(a, journal.Prefix{Device: journal.DeviceID(d), Size: rapid.Int64Range(1, journal.MaxLog).Draw(t, "size"), Root: [16]byte(root)})
		}
		text, err := a.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var again journal.After
		if err := again.UnmarshalText(text); err != nil {
			t.Fatalf("%v in %s", err, text)
		}
		for i := range a {
			if a[i] != again[i] || a.Of(a[i].Device) != a[i] {
				t.Fatalf("wrote %+v, read %+v", a[i], again[i])
			}
		}
	})
}

func FuzzAfter(f *testing.F) {
	for _, seed := range []string{"", "hub1/7/lqKW0iTyhcZ77pPDD4owkQ", strings.Join(prefixes(3), " "), "hub1/7/lqKW0iTyhcZ77pPDD4owkR", " ", "//"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var a journal.After
		if a.UnmarshalText(text) != nil {
			return
		}
		if again, err := a.MarshalText(); err != nil || !bytes.Equal(again, text) {
			t.Fatalf("%q is written again as %q, %v", text, again, err)
		}
	})
}
