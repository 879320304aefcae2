package proof_test

import (
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"testing"

	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

// beside keeps hashes as a log does: packed, beside the leaf that completes
// them.
type beside [][]byte

func (b beside) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, x := range indexes {
		leaf, nth := proof.Place(x)
		if leaf >= int64(len(b)) {
			return nil, fmt.Errorf("hash %d lies beside leaf %d of %d", x, leaf, len(b))
		}
		h, err := proof.Node(b[leaf], nth)
		if err != nil {
			return nil, err
		}
		out[i] = h
	}
	return out, nil
}

// inRow keeps hashes as package tlog itself does: all in one row.
type inRow []tlog.Hash

func (r inRow) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, x := range indexes {
		out[i] = r[x]
	}
	return out, nil
}

// add appends the hashes that tlog stores for a leaf, and returns them.
func (r *inRow) add(t testing.TB, index int64, leaf []byte) []tlog.Hash {
	t.Helper()
	nodes, err := tlog.StoredHashes(index, leaf, *r)
	if err != nil {
		t.Fatal(err)
	}
	*r = append(*r, nodes...)
	return nodes
}

// The leaves and roots of the reference tree: RFC 6962 section 2.1.3 has its
// shape, transparency-dev/merkle testonly/constants.go its values.
var (
	referenceLeaves = []string{"", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"}
	referenceRoots  = []string{
		"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
		"aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
		"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
		"4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
		"76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
		"ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
		"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
	}
)

func unhex(t testing.TB, text string) []byte {
	t.Helper()
	raw, err := hex.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func TestTreeReference(t *testing.T) {
	tree := new(proof.Tree)
	var stored beside
	for size, want := range referenceRoots {
		if root := tree.Root(); hex.EncodeToString(root[:]) != want || tree.Size() != int64(size) {
			t.Errorf("%d leaves: size %d, root %x, want %s", size, tree.Size(), root, want)
		}
		loaded, err := proof.LoadTree(int64(size), stored)
		if err != nil {
			t.Fatal(err)
		}
		if root := loaded.Root(); hex.EncodeToString(root[:]) != want || loaded.Size() != int64(size) {
			t.Errorf("%d leaves, loaded: size %d, root %x, want %s", size, loaded.Size(), root, want)
		}
		if size < len(referenceLeaves) {
			stored = append(stored, proof.PackNodes(tree.Append(unhex(t, referenceLeaves[size]))))
		}
	}
}

func TestTreeStoresAsTlogDoes(t *testing.T) {
	const most = 300
	tree := new(proof.Tree)
	var stored beside
	var row inRow
	for i := range int64(most) {
		leaf := fmt.Appendf(nil, "leaf %d", i)
		nodes, want := tree.Append(leaf), row.add(t, i, leaf)
		if !slices.Equal(nodes, want) {
			t.Fatalf("leaf %d completes %v, want %v", i, nodes, want)
		}
		stored = append(stored, proof.PackNodes(nodes))
		root, err := tlog.TreeHash(i+1, row)
		if err != nil {
			t.Fatal(err)
		}
		if tree.Root() != root {
			t.Fatalf("root of %d is %v, want %v", i+1, tree.Root(), root)
		}
	}
	if got, want := int64(len(row)), tlog.StoredHashCount(most); got != want {
		t.Fatalf("%d hashes are stored, want %d", got, want)
	}
	for x := range row {
		if got, err := stored.ReadHashes([]int64{int64(x)}); err != nil || got[0] != row[x] {
			t.Fatalf("stored hash %d is %v (%v), want %v", x, got, err, row[x])
		}
	}
}

// A tree goes on from wherever it was loaded, and a clone goes its own way.
func TestTreeGoesOn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.Int64Range(0, 3000).Draw(t, "size")
		from := rapid.Int64Range(0, size).Draw(t, "from")
		tree := new(proof.Tree)
		var stored beside
		var row inRow
		for i := range size {
			leaf := fmt.Appendf(nil, "%d", i)
			stored = append(stored, proof.PackNodes(tree.Append(leaf)))
			nodes, err := tlog.StoredHashes(i, leaf, row)
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, nodes...)
		}
		want, err := tlog.TreeHash(size, row)
		if err != nil {
			t.Fatal(err)
		}
		if tree.Root() != want {
			t.Fatalf("root of %d is %v, want %v", size, tree.Root(), want)
		}
		loaded, err := proof.LoadTree(from, stored)
		if err != nil {
			t.Fatal(err)
		}
		before, astray := loaded.Root(), loaded.Clone()
		for range size + 1 - from {
			astray.Append([]byte("another history"))
		}
		if loaded.Root() != before || loaded.Size() != from {
			t.Fatalf("a clone changed the tree of %d", from)
		}
		for i := from; i < size; i++ {
			loaded.Append(fmt.Appendf(nil, "%d", i))
		}
		if loaded.Root() != want {
			t.Fatalf("from %d to %d the root is %v, want %v", from, size, loaded.Root(), want)
		}
	})
}

func TestLoadTreeRefuses(t *testing.T) {
	tree := new(proof.Tree)
	var stored beside
	for i := range 12 {
		stored = append(stored, proof.PackNodes(tree.Append([]byte{byte(i)})))
	}
	for _, size := range []int64{13, 1 << 40} {
		if _, err := proof.LoadTree(size, stored); err == nil {
			t.Errorf("a tree of %d was loaded from 12 leaves", size)
		}
	}
	for _, size := range []int64{-1, -1 << 40, 1<<40 + 1} {
		if _, err := proof.LoadTree(size, stored); !errors.Is(err, proof.ErrNodes) {
			t.Errorf("a tree of %d leaves gave %v", size, err)
		}
	}
	stored[7] = stored[7][:len(stored[7])-1]
	if _, err := proof.LoadTree(12, stored); !errors.Is(err, proof.ErrNodes) {
		t.Errorf("a shortened hash gave %v", err)
	}
	if _, err := proof.LoadTree(7, stored); err != nil {
		t.Errorf("hashes that are not on the edge are not read: %v", err)
	}
}
