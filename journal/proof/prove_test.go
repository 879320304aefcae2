package proof_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
)

// provable is a log of leaves and its checkpoint of every size.
type provable struct {
	leaves [][]byte
	stored beside
	states []proof.Checkpoint // by size
}

func newProvable(size int) provable {
	p := provable{states: make([]proof.Checkpoint, size+1)}
	tree := new(proof.Tree)
	for i := range size {
		leaf := fmt.Appendf(nil, "entry %d", i)
		p.leaves = append(p.leaves, leaf)
		p.stored = append(p.stored, proof.PackNodes(tree.Append(leaf)))
		p.states[i+1] = proof.Checkpoint{Size: tree.Size(), Root: tree.Root()}
	}
	return p
}

// bent returns copies of a proof, each with one bit turned over, one for
// every hash.
func bent(hashes []tlog.Hash) [][]tlog.Hash {
	var all [][]tlog.Hash
	for i := range hashes {
		b := slices.Clone(hashes)
		b[i][(i*7)%tlog.HashSize] ^= 1 << (i % 8)
		all = append(all, b)
	}
	return all
}

func TestEveryEntryIsProvenInEverySize(t *testing.T) {
	p := newProvable(40)
	for size := int64(1); size <= 40; size++ {
		for i := range size {
			shown, err := proof.ProveEntry(size, i, p.stored)
			if err != nil {
				t.Fatal(err)
			}
			if err := proof.CheckEntry(shown, p.states[size], i, p.leaves[i]); err != nil {
				t.Fatal(err)
			}
			for h, b := range bent(shown) {
				if err := proof.CheckEntry(b, p.states[size], i, p.leaves[i]); !errors.Is(err, proof.ErrNotIn) {
					t.Fatalf("entry %d of %d with hash %d bent: %v", i, size, h, err)
				}
			}
			other := (i + 1) % size
			if other != i && proof.CheckEntry(shown, p.states[size], i, p.leaves[other]) == nil {
				t.Fatalf("entry %d of %d passes for entry %d", other, size, i)
			}
			if other != i && proof.CheckEntry(shown, p.states[size], other, p.leaves[i]) == nil {
				t.Fatalf("entry %d of %d is proven at index %d", i, size, other)
			}
		}
	}
}

func TestEverySizeContinuesEveryOther(t *testing.T) {
	p := newProvable(40)
	for size := int64(1); size <= 40; size++ {
		for old := int64(1); old <= size; old++ {
			shown, err := tlog.ProveTree(size, old, p.stored)
			if err != nil {
				t.Fatal(err)
			}
			if err := tlog.CheckTree(shown, size, p.states[size].Root, old, p.states[old].Root); err != nil {
				t.Fatalf("%d to %d: %v", old, size, err)
			}
			for h, b := range bent(shown) {
				if tlog.CheckTree(b, size, p.states[size].Root, old, p.states[old].Root) == nil {
					t.Fatalf("%d to %d with hash %d bent is proven", old, size, h)
				}
			}
		}
	}
}

func TestProveEntryRefuses(t *testing.T) {
	p := newProvable(9)
	for _, c := range [][2]int64{{0, 0}, {9, 9}, {9, -1}, {-1, 0}, {10, 3}} {
		if _, err := proof.ProveEntry(c[0], c[1], p.stored); err == nil {
			t.Errorf("entry %d of %d was proven", c[1], c[0])
		}
	}
	shown, err := proof.ProveEntry(9, 4, p.stored)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		p     tlog.RecordProof
		c     proof.Checkpoint
		index int64
	}{
		"a hash too few":        {shown[:len(shown)-1], p.states[9], 4},
		"a hash too many":       {append(slices.Clone(shown), tlog.Hash{}), p.states[9], 4},
		"no proof":              {nil, p.states[9], 4},
		"another state":         {shown, p.states[8], 4},
		"beyond the end":        {shown, p.states[9], 9},
		"before the beginning":  {shown, p.states[9], -1},
		"an empty log":          {nil, proof.Checkpoint{}, 0},
		"a log of no such size": {shown, proof.Checkpoint{Size: -1}, 4},
	} {
		if err := proof.CheckEntry(c.p, c.c, c.index, p.leaves[4]); !errors.Is(err, proof.ErrNotIn) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}
