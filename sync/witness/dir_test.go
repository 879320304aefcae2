package witness_test

import (
	"bytes"
	"testing"
	"time"

	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"
	"fettlebook/journal/witnessed/witnessedtest"
	"fettlebook/sync/witness"
)

// What a dossier takes along: the first state that covers what it needs, of
// which anybody said anything. What does not hold is passed over.
func TestKept(t *testing.T) {
	tsa := witnessedtest.New(t, witnessedtest.Options{})
	path := t.TempDir()
	dir := witness.OpenDir(path)
	since := func(size int64) witnessed.Kept {
		t.Helper()
		k, err := dir.Since(t.Context(), size)
		must(t, err)
		return k
	}
	if k := since(0); k.Size != 0 {
		t.Errorf("of an empty folder: %d", k.Size)
	}
	l := newLog(t, "k7m2q4xw", time.Now())
	other := newKey(t, proof.CosignerName("other234"))
	must(t, dir.Know(other.Verifier()))
	must(t, dir.Know(other.Verifier()))

	l.grow(3, "entry")
	must(t, dir.Save(witnessed.Kept{Size: 3, Note: l.signed()})) // nobody said anything yet
	l.grow(2, "entry")
	stamped := l.signed()
	q, err := witnessed.AskStamp(stamped, nil)
	must(t, err)
	answer := tsa.Answer(q)
	must(t, dir.Save(witnessed.Kept{Size: 5, Note: stamped, Stamp: answer}))
	l.grow(2, "entry")
	signed, err := proof.Countersign(proof.Checkpoint{Note: l.signed()}, l.verifier(), other.Cosigner(time.Now))
	must(t, err)
	must(t, dir.Save(witnessed.Kept{Size: 7, Note: signed}))

	dir = witness.OpenDir(path) // another process
	if k := since(1); k.Size != 5 || !bytes.Equal(k.Note, stamped) || !bytes.Equal(k.Stamp, answer) || len(k.Witnesses) != 0 {
		t.Errorf("of one entry: %d, %d bytes, %v", k.Size, len(k.Stamp), k.Witnesses)
	}
	if k := since(6); k.Size != 7 || !bytes.Equal(k.Note, signed) || k.Stamp != nil || len(k.Witnesses) != 1 || k.Witnesses[0] != other.Verifier() {
		t.Errorf("of six: %d, %d bytes, %v", k.Size, len(k.Stamp), k.Witnesses)
	}
	if k := since(8); k.Size != 0 {
		t.Errorf("of more than is there: %d", k.Size)
	}
	must(t, dir.Save(witnessed.Kept{Size: 5, Note: append(bytes.Clone(stamped), "— late AAAAAAAA\n"...)}))
	if k := since(1); k.Size != 7 {
		t.Errorf("a timestamp of other bytes counts: %d", k.Size)
	}
}
