package journal_test

import (
	"bytes"
	"errors"
	"slices"
	"testing"

	"fettlebook/journal"
)

// What was read is written and read again as the same.
func FuzzDecode(f *testing.F) {
	f.Add([]byte(banjo))
	for kind := range journal.Kinds() {
		f.Add(golden(f, kind))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		e, err := journal.Decode(raw)
		if err != nil {
			if !errors.Is(err, journal.ErrEntry) {
				t.Fatalf("refused with %v", err)
			}
			return
		}
		first, err := e.Encode()
		if err != nil {
			t.Fatal(err)
		}
		again, err := journal.Decode(first)
		if err != nil {
			t.Fatalf("%v in %s", err, first)
		}
		if second, err := again.Encode(); err != nil || !bytes.Equal(first, second) {
			t.Fatalf("written as\n%s\nthen as\n%s\n%v", first, second, err)
		}
		if _, err := e.Photos(); err == nil {
			_, _ = e.Payload() // must not panic; FuzzParsePayload says more
		}
	})
}

func FuzzParsePayload(f *testing.F) {
	for kind := range journal.Kinds() {
		e, err := journal.Decode(golden(f, kind))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(kind), []byte(e.Data))
	}
	f.Fuzz(func(t *testing.T, kind string, raw []byte) {
		typ := journal.Type{Kind: journal.Kind(kind), Version: 1}
		data, err := journal.ParsePayload(typ, raw)
		if err != nil {
			var invalid *journal.Invalid
			if !errors.As(err, &invalid) && !errors.Is(err, journal.ErrUnknownKind) {
				t.Fatalf("refused with %v", err)
			}
			return
		}
		first, err := journal.MarshalPayload(data)
		if err != nil {
			t.Fatal(err)
		}
		again, err := journal.ParsePayload(typ, first)
		if err != nil {
			t.Fatalf("%v in %s", err, first)
		}
		if second, err := journal.MarshalPayload(again); err != nil || !bytes.Equal(first, second) {
			t.Fatalf("written as\n%s\nthen as\n%s\n%v", first, second, err)
		}
	})
}

func FuzzParseSubject(f *testing.F) {
	for _, seed := range []string{"job/4f7kk2m9", "job/4f7kk2m9/corner/LF/part/caliper", "run/bake-17", "", "a/b/c", "//", "job/\xff"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := journal.ParseSubject(text)
		if err != nil {
			return
		}
		if string(s) != text || s.Last() == "" || slices.Contains([]byte(s), ' ') {
			t.Fatalf("%q was read as %q, last %q", text, s, s.Last())
		}
		if _, err := journal.ParseSubject(string(s) + "/"); err == nil {
			t.Fatalf("%q may end in a slash", text)
		}
	})
}
