package proof_test

import (
	"encoding/hex"
	"slices"
	"testing"

	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

func TestSealReference(t *testing.T) {
	var entries [][]byte
	for size, want := range referenceRoots {
		if root := proof.Seal(entries); hex.EncodeToString(root[:]) != want {
			t.Errorf("the seal of %d is %x, want %s", size, root, want)
		}
		if size < len(referenceLeaves) {
			entries = append(entries, unhex(t, referenceLeaves[size]))
		}
	}
}

// Entries left out, added, moved or altered give another seal.
func TestSealHoldsTheEntries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		entries := rapid.SliceOfNDistinct(rapid.SliceOfN(rapid.Byte(), 1, 20), 1, 70, func(b []byte) string { return string(b) }).Draw(t, "entries")
		seal := proof.Seal(entries)
		var row inRow
		for i, e := range entries {
			nodes, err := tlog.StoredHashes(int64(i), e, row)
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, nodes...)
		}
		want, err := tlog.TreeHash(int64(len(entries)), row)
		if err != nil {
			t.Fatal(err)
		}
		if seal != want {
			t.Fatalf("the seal is %x, want %x", seal, want)
		}
		at := rapid.IntRange(0, len(entries)-1).Draw(t, "at")
		altered := slices.Clone(entries)
		altered[at] = append(slices.Clone(entries[at]), 0)
		moved := append(slices.Clone(entries[1:]), entries[0])
		for name, other := range map[string][][]byte{
			"altered":  altered,
			"left out": slices.Delete(slices.Clone(entries), at, at+1),
			"added":    slices.Insert(slices.Clone(entries), at, []byte("one more entry than before")),
			"moved":    moved,
		} {
			if proof.Seal(other) == seal && (name != "moved" || len(entries) > 1) {
				t.Errorf("%s: the seal is the same", name)
			}
		}
	})
}
