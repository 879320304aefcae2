package audit

import (
	"math/bits"

	"fettlebook/journal"

	"golang.org/x/mod/sumdb/tlog"
)

// sum is a hash of the tree, or nothing where an entry is missing.
type sum struct {
	hash  tlog.Hash
	known bool
}

func over(left, right sum) sum {
	if !left.known || !right.known {
		return sum{}
	}
	return sum{tlog.NodeHash(left.hash, right.hash), true}
}

// edge is the right edge of a Merkle tree (RFC 6962, section 2.1): its
// complete subtrees, largest first. It can pass over missing leaves.
type edge struct {
	size int64
	sums []sum
}

// grow adds a leaf and returns the hashes that it completes, its own first.
func (e *edge) grow(leaf sum) []sum {
	done := []sum{leaf}
	for n, last := e.size, len(e.sums)-1; n&1 == 1; n, last = n>>1, last-1 {
		done = append(done, over(e.sums[last], done[len(done)-1]))
	}
	e.put(done[len(done)-1])
	return done
}

// put adds a leaf by the topmost hash that it completes, which stands for
// all below it.
func (e *edge) put(top sum) {
	covered := bits.TrailingZeros64(^uint64(e.size))
	e.sums = append(e.sums[:len(e.sums)-covered], top)
	e.size++
}

// skip passes over leaves that are missing. Subtrees before them stay known.
func (e *edge) skip(to int64) {
	differ := bits.Len64(uint64(e.size ^ to))
	same := bits.OnesCount64(uint64(to) >> differ)
	e.sums = append(e.sums[:same], make([]sum, bits.OnesCount64(uint64(to))-same)...)
	e.size = to
}

func (e *edge) clone() edge { return edge{e.size, append([]sum(nil), e.sums...)} }

// root returns the root of a tree that is not empty.
func (e *edge) root() sum {
	last := len(e.sums) - 1
	root := e.sums[last]
	for i := last - 1; i >= 0; i-- {
		root = over(e.sums[i], root)
	}
	return root
}

func (e *edge) is(root tlog.Hash) bool { return e.root() == sum{root, true} }

// twin is the tree of a log, twice: read is computed from the entries' bytes,
// kept from the hashes stored beside them. Where the two differ, the next
// signed root tells which is right, and the other is set right by it, so that
// one damage does not look like many.
type twin struct {
	read, kept edge
	settled    int64 // size at the last root that fitted one of them
	odd        []odd // where they differ since then
	adrift     bool  // the last root fitted neither
}

// odd is a leaf whose stored hashes are not those computed; level is the
// lowest that differs, 0 for the leaf's own.
type odd struct {
	index int64
	level int
}

// covers reports whether the differing hash stands over the leaf.
func (o odd) covers(leaf int64) bool { return leaf <= o.index && leaf > o.index-1<<o.level }

// add takes in an entry with its stored hashes. It reports whether the
// entry's own hash is the stored one, and whether there are as many hashes as
// there must be.
func (t *twin) add(bytes, nodes []byte) (intact, complete bool) {
	at := t.read.size
	computed := t.read.grow(sum{tlog.RecordHash(bytes), true})
	stored := unpack(nodes)
	complete = len(nodes) == len(computed)*tlog.HashSize
	if complete {
		t.kept.put(stored[len(stored)-1])
	} else {
		t.kept.put(sum{})
	}
	intact = len(stored) > 0 && stored[0] == computed[0]
	if !complete && intact {
		return intact, complete
	}
	for level, c := range computed {
		if level >= len(stored) || c.known && stored[level] != c {
			if level == 0 || !t.adrift {
				t.odd = append(t.odd, odd{at, level})
			}
			break
		}
	}
	return intact, complete
}

func (t *twin) skip(to int64) {
	t.read.skip(to)
	t.kept.skip(to)
}

func unpack(nodes []byte) []sum {
	var list []sum
	for ; len(nodes) >= tlog.HashSize; nodes = nodes[tlog.HashSize:] {
		list = append(list, sum{tlog.Hash(nodes), true})
	}
	return list
}

// verdict is what a signed root says of a twin.
type verdict int

const (
	untold       verdict = iota // an entry is missing, so neither can be compared
	fits                        // the bytes are as signed
	bytesChanged                // the stored hashes are as signed, the bytes are not
	neither
)

// settle compares both with a root that was signed for what was added so far,
// and returns where they differed since the last that fitted.
func (t *twin) settle(root tlog.Hash) (verdict, []odd) {
	v := neither
	switch {
	case t.read.is(root):
		v, t.kept = fits, t.read.clone()
	case t.kept.is(root):
		v, t.read = bytesChanged, t.kept.clone()
	case !t.read.root().known && !t.kept.root().known:
		return untold, nil
	}
	list := t.odd
	t.odd = nil
	if t.adrift = v == neither; !t.adrift {
		t.settled = t.read.size
	}
	return v, list
}

// state is a verified state of the hub's log.
type state struct {
	root tlog.Hash
	last journal.EntryID // of the newest entry, zero if it cannot be read
}
