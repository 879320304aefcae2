package shop_test

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

// branches are logs as their devices wrote them, with the keys that sign them:
// of a lost tablet none is anywhere else.
type branches struct {
	logs map[journal.DeviceID]*branch
	from []journal.DeviceID
}

type branch struct {
	key     proof.Key
	tree    proof.Tree
	nodes   [][]tlog.Hash
	entries [][]byte
}

func newBranches() *branches {
	return &branches{logs: make(map[journal.DeviceID]*branch), from: []journal.DeviceID{"lost", "bench-1", "bench-2"}}
}

func (b *branches) log(device journal.DeviceID) *branch {
	l := b.logs[device]
	if l == nil {
		key, err := proof.NewKey(journaltest.Rand(string(device)), proof.Origin(journaltest.Shop, device))
		if err != nil {
			panic(err)
		}
		l = &branch{key: key}
		b.logs[device] = l
	}
	return l
}

func (b *branches) wrote(device journal.DeviceID, raw []byte) {
	l := b.log(device)
	l.nodes, l.entries = append(l.nodes, l.tree.Append(raw)), append(l.entries, raw)
}

// ReadHashes implements [tlog.HashReader].
func (l *branch) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	list := make([]tlog.Hash, len(indexes))
	for i, x := range indexes {
		leaf, nth := proof.Place(x)
		list[i] = l.nodes[leaf][nth]
	}
	return list, nil
}

// enrol lets a device in, mostly with the key that it has.
func (b *branches) enrol(t *rapid.T, written []*journal.Entry) journal.Draft {
	device := pick(t, b.from, "enrolled")
	key := b.log(pick(t, []journal.DeviceID{device, device, "bench-1"}, "key of")).key.Verifier()
	return journal.Draft{Subject: journal.Of("device", string(device)), By: "mk",
		Data: &journal.Device{Device: device, Name: "bench", LogKey: key, ConnectKey: "U", Invitation: written[0].ID}}
}

// takeOver quotes an entry of a branch, mostly as it was; otherwise it gives
// the other draft back.
func (b *branches) takeOver(t *rapid.T, other journal.Draft) journal.Draft {
	device := pick(t, b.from, "branch")
	l := b.log(device)
	if len(l.entries) == 0 {
		return other
	}
	index := rapid.IntRange(0, len(l.entries)-1).Draw(t, "quoted")
	size := rapid.Int64Range(int64(index)+1, int64(len(l.entries))).Draw(t, "signed at")
	tree, err := proof.LoadTree(size, l)
	if err != nil {
		t.Fatal(err)
	}
	note, err := proof.Sign(l.key.Signer(), size, tree.Root())
	if err != nil {
		t.Fatal(err)
	}
	d, err := proof.Quote(l.entries[index], journal.Position{Device: device, Index: int64(index)}, note, size, l, journal.RestoredBranch)
	if err != nil {
		return other // garbage, or nobody may quote it
	}
	q := d.Data.(*journal.TakenOver)
	switch rapid.IntRange(0, 11).Draw(t, "falsely") {
	case 0:
		q.Index++
	case 1:
		q.Proof = slices.Concat(q.Proof, []journal.Digest{{1}})
	case 2:
		d.Subject = "tool/tw-1"
	}
	return d
}
