package evidence_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
	"fettlebook/journal/proof"

	"github.com/transparency-dev/formats/log"
	cosign "github.com/transparency-dev/formats/note"
	tlogproof "github.com/transparency-dev/formats/proof"
	merkle "github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/note"
)

func leaf(raw []byte) journal.Digest { return journal.Digest(proof.Leaf(raw)) }

// Whoever trusts no program of ours checks a dossier with others: the manifests
// with sha256sum; proofs, checkpoints and countersignatures with the packages of
// transparency-dev, which count their trees by themselves; the seal by hand.
func TestOtherProgramsAgree(t *testing.T) {
	h := evidencetest.New(t, "outside", 8)
	made := h.Dossier(evidencetest.Options{Card: true, Paper: true})
	packed := made.Pack()
	r, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		t.Fatal(err)
	}
	top := t.TempDir()
	if err := os.CopyFS(top, r); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(top, "dossier-"+string(evidencetest.Job))
	for _, list := range []string{"manifest-sha256.txt", "tagmanifest-sha256.txt"} {
		sum := exec.Command("sha256sum", "--strict", "--quiet", "-c", list)
		sum.Dir = dir
		if out, err := sum.CombinedOutput(); err != nil {
			t.Errorf("sha256sum -c %s: %v\n%s", list, err, out)
		}
	}
	read := func(path string) []byte {
		raw, err := os.ReadFile(filepath.Join(dir, "data", path))
		if err != nil {
			t.Fatal(err)
		}
		return raw
	}
	d, err := evidence.Decode(read(evidence.DossierPath))
	if err != nil {
		t.Fatal(err)
	}
	keys := make(map[journal.DeviceID]note.Verifier)
	for _, l := range d.Logs {
		if keys[l.Device], err = note.NewVerifier(l.Keys[0]); err != nil {
			t.Fatal(err)
		}
	}
	founding, err := journal.Decode(read(evidence.EntryPath(evidence.At{Device: d.Hub})))
	if err != nil {
		t.Fatal(err)
	}
	p, err := founding.Payload()
	if err != nil {
		t.Fatal(err)
	}
	hub, err := cosign.NewVerifierForCosignatureV1(p.(*journal.Shop).CosignKey)
	if err != nil {
		t.Fatal(err)
	}
	for _, item := range d.Entries {
		var got tlogproof.TLogProof
		if err := got.Unmarshal(read(evidence.ProofPath(item.At))); err != nil {
			t.Fatal(err)
		}
		origin := proof.Origin(d.Shop, item.At.Device)
		state, _, _, err := log.ParseCheckpoint(got.Checkpoint, origin, keys[item.At.Device])
		if err != nil {
			t.Fatal(err)
		}
		if n, err := note.Open(got.Checkpoint, note.VerifierList(hub)); err != nil {
			t.Errorf("the countersignature over %s: %v", item.At, err)
		} else if at, err := cosign.CoSigV1Timestamp(n.Sigs[0]); err != nil || at.IsZero() {
			t.Errorf("the time of the countersignature over %s: %v, %v", item.At, at, err)
		}
		var hashes [][]byte
		for _, hash := range got.Hashes {
			hashes = append(hashes, hash[:])
		}
		hash := rfc6962.DefaultHasher.HashLeaf(read(evidence.EntryPath(item.At)))
		if err := merkle.VerifyInclusion(rfc6962.DefaultHasher, got.Index, state.Size, hash, hashes, state.Hash); err != nil {
			t.Errorf("the proof of %s: %v", item.At, err)
		}
	}
	for _, l := range d.Logs {
		var before *log.Checkpoint
		for _, s := range l.States {
			state, _, _, err := log.ParseCheckpoint(read(evidence.CheckpointPath(l.Device, s.Size)), proof.Origin(d.Shop, l.Device), keys[l.Device])
			if err != nil {
				t.Fatal(err)
			}
			if before != nil {
				if err := merkle.VerifyConsistency(rfc6962.DefaultHasher, before.Size, state.Size, plain(s.Grown), before.Hash, state.Hash); err != nil {
					t.Errorf("the log of %s from %d to %d: %v", l.Device, before.Size, state.Size, err)
				}
			}
			before = state
		}
	}
	for _, s := range d.Seals {
		var leaves [][]byte
		for _, c := range s.Covers {
			leaves = append(leaves, rfc6962.DefaultHasher.HashLeaf(read(evidence.EntryPath(c.At))))
		}
		if root := byHand(leaves); journal.Digest(root) != journal.Digest(h.Receipt().Seal) {
			t.Errorf("the seal comes to %x, and the receipt states %x", root, h.Receipt().Seal)
		}
	}
}

func plain(hashes []journal.Digest) (list [][]byte) {
	for _, h := range hashes {
		list = append(list, h[:])
	}
	return list
}

// byHand is the root of RFC 6962, section 2.1, as it is written there.
func byHand(leaves [][]byte) [32]byte {
	if len(leaves) == 1 {
		return [32]byte(leaves[0])
	}
	k := 1
	for k*2 < len(leaves) {
		k *= 2
	}
	left, right := byHand(leaves[:k]), byHand(leaves[k:])
	return sha256.Sum256(append(append([]byte{1}, left[:]...), right[:]...))
}
