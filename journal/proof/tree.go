package proof

import (
	"crypto/sha256"
	"errors"
	"fmt"

	"fettlebook/journal"

	"golang.org/x/mod/sumdb/tlog"
)

// A Tree grows by appending leaves. It holds the right edge of the tree
// only: one hash a level, whatever the size.
//
// The hashes that a leaf completes are stored beside that leaf (its own hash
// first, then one for each subtree it finishes, upwards), so that proofs can
// be made later without another table; see [Place].
type Tree struct {
	size int64
	edge []tlog.Hash // the complete subtrees of size, largest first
}

// LoadTree restores the tree of the given size from stored hashes.
func LoadTree(size int64, stored tlog.HashReader) (*Tree, error) {
	t := &Tree{size: size}
	if size == 0 {
		return t, nil
	}
	if size < 0 || size > journal.MaxLog {
		return nil, fmt.Errorf("%w: no tree has %d leaves", ErrNodes, size)
	}
	edge, err := stored.ReadHashes(edgeIndexes(size))
	if err != nil {
		return nil, fmt.Errorf("read the edge of a tree of %d: %w", size, err)
	}
	t.edge = edge
	return t, nil
}

// edgeIndexes lists the stored indexes of the complete subtrees of a tree.
func edgeIndexes(size int64) []int64 {
	var list []int64
	begin := int64(0)
	for level := 62; level >= 0; level-- {
		if size&(1<<level) != 0 {
			list = append(list, tlog.StoredHashIndex(level, begin>>level))
			begin += 1 << level
		}
	}
	return list
}

// Clone returns a tree that grows on its own.
func (t *Tree) Clone() *Tree { return &Tree{size: t.size, edge: append([]tlog.Hash(nil), t.edge...)} }

// Size returns the number of leaves.
func (t *Tree) Size() int64 { return t.size }

// Append adds a leaf and returns the hashes to store beside it.
func (t *Tree) Append(leaf []byte) []tlog.Hash { return t.AppendHash(Leaf(leaf)) }

// Leaf returns the hash of a leaf.
func Leaf(leaf []byte) tlog.Hash { return tlog.RecordHash(leaf) }

// AppendHash adds the leaf that has this hash; see [Tree.Append].
func (t *Tree) AppendHash(h tlog.Hash) []tlog.Hash {
	nodes := []tlog.Hash{h}
	for n := t.size; n&1 == 1; n >>= 1 {
		last := len(t.edge) - 1
		h = tlog.NodeHash(t.edge[last], h)
		t.edge = t.edge[:last]
		nodes = append(nodes, h)
	}
	t.edge = append(t.edge, h)
	t.size++
	return nodes
}

// Root returns the tree's hash, which for an empty tree is that of RFC 6962.
func (t *Tree) Root() tlog.Hash {
	if t.size == 0 {
		return sha256.Sum256(nil)
	}
	h := t.edge[len(t.edge)-1]
	for i := len(t.edge) - 2; i >= 0; i-- {
		h = tlog.NodeHash(t.edge[i], h)
	}
	return h
}

// Place says where a stored hash lies: beside which leaf, and as which of
// its hashes.
func Place(storedIndex int64) (leaf int64, nth int) {
	level, n := tlog.SplitStoredHashIndex(storedIndex)
	return (n+1)<<level - 1, level
}

// PackNodes writes a leaf's hashes one after the other.
func PackNodes(nodes []tlog.Hash) []byte {
	packed := make([]byte, 0, len(nodes)*tlog.HashSize)
	for _, h := range nodes {
		packed = append(packed, h[:]...)
	}
	return packed
}

// ErrNodes is wrapped when stored hashes are not what they must be.
var ErrNodes = errors.New("the stored tree hashes are damaged")

// Node returns the nth of a leaf's packed hashes.
func Node(packed []byte, nth int) (tlog.Hash, error) {
	if nth < 0 || nth >= len(packed)/tlog.HashSize {
		return tlog.Hash{}, fmt.Errorf("%w: %d bytes hold no hash %d", ErrNodes, len(packed), nth)
	}
	return tlog.Hash(packed[nth*tlog.HashSize:][:tlog.HashSize]), nil
}
