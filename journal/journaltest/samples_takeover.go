package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
)

// LostKey signs the log of which the sample of entry.takenover quotes.
func LostKey() proof.Key {
	key, err := proof.NewKey(Rand("the lost tablet"), proof.Origin(Shop, Bench))
	if err != nil {
		panic(err)
	}
	return key
}

func takeoverSamples() []sample {
	lost := NewAuthor(Bench, NewWatch(Morning()), "the lost tablet")
	photo := journal.Evidence{Photos: []journal.Photo{Picture("the joint with its mark")}}
	full := quote(lost, LostKey(), journal.RestoredBranch,
		journal.Draft{Subject: onPart(), By: Io, Data: &journal.Remark{Evidence: journal.Evidence{Note: "one"}}},
		journal.Draft{Subject: onPart(), By: Io, Data: &journal.Degreasing{Agent: "hot wash", Evidence: photo}})
	full.Photos[0] = photo.Photos[0]
	least := quote(lost, LostKey(), journal.RevokedBranch,
		journal.Draft{Subject: onPart(), By: Io, Data: &journal.Remark{Evidence: journal.Evidence{Note: "only this"}}})
	return []sample{{onPart(), full, least}}
}

// quote writes drafts into a log and quotes the last.
func quote(a *Author, key proof.Key, branch journal.Branch, drafts ...journal.Draft) *journal.TakenOver {
	tree := new(proof.Tree)
	var nodes [][]tlog.Hash
	stored := tlog.HashReaderFunc(func(indexes []int64) ([]tlog.Hash, error) {
		list := make([]tlog.Hash, len(indexes))
		for i, x := range indexes {
			leaf, nth := proof.Place(x)
			list[i] = nodes[leaf][nth]
		}
		return list, nil
	})
	var last []byte
	for _, d := range drafts {
		e, err := a.Write(d)
		if err != nil {
			panic(err)
		}
		e.Type.Version = 1 // kinds go on, what was quoted stays
		raw, err := e.Encode()
		if err != nil {
			panic(err)
		}
		last, nodes = raw, append(nodes, tree.Append(raw))
	}
	note, err := proof.Sign(key.Signer(), tree.Size(), tree.Root())
	if err != nil {
		panic(err)
	}
	at := journal.Position{Device: a.Source.Device, Index: tree.Size() - 1}
	d, err := proof.Quote(last, at, note, tree.Size(), stored, branch)
	if err != nil {
		panic(err)
	}
	return d.Data.(*journal.TakenOver)
}
