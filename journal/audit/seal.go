package audit

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/words"

	"golang.org/x/mod/sumdb/tlog"
)

// sealed is a job's seal, where it was found.
type sealed struct {
	at   Where
	seal *journal.Seal
}

// checkSeals holds the entries that each seal covers against it. Seals of
// earlier programs do not say which these are; only a fold could tell.
func (a *audit) checkSeals() {
	for _, s := range a.seals {
		if len(s.seal.Covers) == 0 {
			continue
		}
		s.at.Part = Seal
		missing, err := proof.CheckSeal(s.seal, a.leaf)
		switch {
		case len(missing) > 0:
			a.remark(s.at, fmt.Sprintf("It cannot be checked: %d of the %d entries that it covers %s not here.",
				len(missing), s.seal.Entries, words.Choose(len(missing) == 1, "is", "are")), doSync)
		case err != nil:
			a.damage(s.at, "An entry that it covers is not as it was when the job was handed over.", doSealed)
		}
		a.report.Checked.Seals++
	}
}

// leaves are the hashes of entries of one log that follow each other.
type leaves struct {
	first  int64
	hashes []tlog.Hash
}

// keepLeaf keeps the hash of an entry, which a seal may cover.
func (l *logAudit) keepLeaf(row RawEntry) {
	list := l.leaves[l.device]
	if n := len(list) - 1; n < 0 || list[n].first+int64(len(list[n].hashes)) != row.Index {
		list = append(list, leaves{first: row.Index})
	}
	last := &list[len(list)-1]
	last.hashes = append(last.hashes, tlog.RecordHash(row.Bytes))
	l.leaves[l.device] = list
}

// leaf returns the hash of the entry at a position.
func (a *audit) leaf(at journal.Position) (tlog.Hash, bool) {
	for _, run := range a.leaves[at.Device] {
		if i := at.Index - run.first; i >= 0 && i < int64(len(run.hashes)) {
			return run.hashes[i], true
		}
	}
	return tlog.Hash{}, false
}
