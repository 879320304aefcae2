package audit

import (
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
)

// checkpoint verifies the checkpoint beside a row, and the tree by it.
func (l *logAudit) checkpoint(row RawEntry) {
	if row.Checkpoint == nil {
		return
	}
	l.report.Checked.Checkpoints++
	l.signed = l.next
	if l.key == nil {
		return
	}
	say := func(what string) {
		l.find(Damage, Checkpoint, row.Index, row.Index, journal.EntryID{}, what, doRestore)
	}
	c, err := l.open(row.Checkpoint)
	if err != nil {
		say("It is not signed with the device’s key.")
		return
	}
	if !canonical(row.Checkpoint, 1) {
		say("Its signature is not in the expected format.")
	}
	if c.Size != l.next {
		say("It is signed for another number of entries than lie before it.")
		return
	}
	l.settle(Checkpoint, c.Root)
}

// nextReceipt takes the next countersignature.
func (l *logAudit) nextReceipt() {
	c, err, ok := l.receipt()
	if ok && err != nil {
		l.damage(Where{Part: Countersignature, Log: l.device}, fmt.Sprintf("Countersignatures cannot be read: %v.", err), doDatabase)
		ok = false
	}
	l.waiting, l.more = c, ok
}

// countersignature verifies a countersignature, and the tree by it if it is
// over just the entries that were walked over.
func (l *logAudit) countersignature(c journal.Countersigned) {
	l.report.Checked.Countersignatures++
	if l.key == nil || l.cosigner == nil {
		return
	}
	say := func(what string) {
		l.find(Damage, Countersignature, c.Size-1, c.Size-1, journal.EntryID{}, what, doRestore)
	}
	signed, at, _, err := l.keys.Open(c.Note, l.device, l.text)
	replaced := (*proof.Replaced)(nil)
	switch {
	case errors.As(err, &replaced):
		l.find(Damage, Countersignature, c.Size-1, c.Size-1, journal.EntryID{}, l.replaced(replaced), doReplaced)
		return
	case errors.Is(err, proof.ErrNotCountersigned):
		say("It is not signed with the hub’s key.")
		return
	case err != nil:
		say("The checkpoint in it is not signed with the device’s key.")
		return
	case signed.Size != c.Size:
		say("It is signed for another number of entries than it is kept for.")
		return
	}
	l.receiptTime(c, at)
	if !at.Equal(c.At) {
		say("The time noted beside it is not the one that the hub signed.")
	}
	if !canonical(c.Note, 2) {
		say("Its signatures are not in the expected format.")
	}
	l.promised = max(l.promised, c.Size)
	if c.Size == l.next {
		l.settle(Countersignature, signed.Root)
	}
}

// canonical reports whether a note that was verified has just so many
// signatures, written as whoever signs writes them. Base64 has a few bits
// that do not count, and a changed bit is a changed bit.
func canonical(signed []byte, signatures int) bool {
	_, lines, _ := strings.Cut(string(signed), "\n\n")
	n := 0
	for line := range strings.Lines(lines) {
		digits := strings.TrimSuffix(line[strings.LastIndexByte(line, ' ')+1:], "\n")
		raw, err := base64.StdEncoding.DecodeString(digits)
		if err != nil || base64.StdEncoding.EncodeToString(raw) != digits {
			return false
		}
		n++
	}
	return n == signatures
}

// settle holds a root that was signed against the tree, and names the entries
// that were changed.
func (l *logAudit) settle(p Part, root tlog.Hash) {
	from, again := l.tree.settled, l.tree.settled == l.next
	v, list := l.tree.settle(root)
	switch {
	case v == untold:
		return
	case v == neither && again:
		l.find(Damage, p, l.next-1, l.next-1, journal.EntryID{}, "The device signed two different histories of this size: the root in it is not that of the log here.", doAsk)
		l.tree.adrift = false
		return
	case v == neither:
		l.find(Damage, Entry, from, l.next-1, journal.EntryID{}, "They do not give the root that the device signed: at least one of them was changed, added, left out or moved.", doAsk)
	}
	l.oddities(v, list)
	if l.hub && v != neither {
		l.states[l.next] = state{root, journal.EntryID(l.top)}
	}
}

// oddities reports on entries whose stored hashes differ from those computed,
// as far as one does not follow from another.
func (l *logAudit) oddities(v verdict, list []odd) {
	none := journal.EntryID{}
	changed := func(o odd) bool { return o.level == 0 }
	for i, o := range list {
		switch {
		case v == fits:
			l.find(Damage, Entry, o.index, o.index, none, "It is as the device signed it, but a tree hash stored beside it was changed.", doDatabase)
		case v == bytesChanged && changed(o):
			l.find(Damage, Entry, o.index, o.index, none, "Its bytes are not those that the device signed.", doRestore)
		case changed(o):
			l.find(Damage, Entry, o.index, o.index, none, "Its bytes and the hash stored beside it contradict each other.", doRestore)
		case !explained(o, list[:i]):
			l.find(Damage, Entry, o.index+1-1<<o.level, o.index, none, "At least one of them is not what the device signed, or a tree hash stored beside them was changed.", doRestore)
		}
	}
}

// explained reports whether a changed hash follows from one before it.
func explained(o odd, before []odd) bool {
	for _, b := range before {
		if o.covers(b.index) {
			return true
		}
	}
	return false
}
