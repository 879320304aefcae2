package audit

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"iter"
	"maps"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/note"
)

// logAudit is the walk over one log.
type logAudit struct {
	*audit
	device   journal.DeviceID
	own, hub bool
	key      note.Verifier // nil: signatures cannot be verified
	text     string        // the key as the register has it
	tree     twin
	begin    int            // where this log's findings begin in the report
	runs     map[string]int // findings that may grow, by what they say

	next     int64     // index of the next entry
	signed   int64     // size of the last checkpoint, good or not
	bare     bare      // the last entry, if no checkpoint lies beside it
	stamped  time.Time // by the hub's time, the last countersignature
	saw      time.Time // the newest of the hub's entries that an entry so far had seen
	blocked  error     // why the entries from blockedAt on cannot be read
	blockage int64

	receipt  func() (journal.Countersigned, error, bool)
	waiting  journal.Countersigned // the next countersignature
	more     bool                  // there is one
	promised int64                 // the hub countersigned this many

	top    journal.Top
	boot   journal.BootID
	uptime journal.Uptime
	newer  map[string]Span // entries of kinds that are not known, by type
	unseen Span            // entries that cite more of the hub's log than is here
	newest int64           // the most that they cite
}

func (a *audit) checkLog(ctx context.Context, raw RawLog) error {
	l := &logAudit{audit: a, device: journal.DeviceID(raw.Device), begin: len(a.report.Findings),
		runs: map[string]int{}, newer: map[string]Span{}, unseen: Span{-1, -1}}
	l.own, l.hub = a.owns(l.device), l.device == a.Hub
	if l.key, l.text = a.verifier(raw); l.hub && a.HubKey == "" {
		a.keys = proof.Founded(a.Shop, a.Hub, l.text, a.CosignKey)
	}
	a.report.Checked.Logs++

	next, stop := iter.Pull2(a.Logs.RawCountersigned(ctx, raw.Log))
	defer stop()
	l.receipt = next
	l.nextReceipt()
	for {
		begin := l.next
		for row, err := range a.Logs.RawEntries(ctx, raw.Log, l.next) {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			l.row(row, err)
		}
		// A program that writes beside the audit may have added entries, and
		// a countersignature over them.
		if !l.more || l.next == begin {
			break
		}
	}
	l.finish(ctx, raw)
	return ctx.Err()
}

// find reports on entries first to last. The same thing said of the entries
// that follow makes one finding over all of them.
func (l *logAudit) find(s Severity, p Part, first, last int64, id journal.EntryID, what, do string) {
	key := string(p) + what
	if at, running := l.runs[key]; running {
		w := &l.report.Findings[at].Where
		if first >= w.Entries.First && first <= w.Entries.Last+1 {
			w.Entries.Last, w.ID = max(w.Entries.Last, last), journal.EntryID{}
			return
		}
	}
	l.runs[key] = l.report.add(Finding{s, Where{Part: p, Log: l.device, Entries: &Span{first, last}, ID: id}, what, do})
}

// row checks one row, or notes that it cannot be read.
func (l *logAudit) row(row RawEntry, err error) {
	if err != nil {
		if l.blocked == nil {
			l.blocked, l.blockage = err, max(row.Index, l.next)
		}
		return
	}
	if row.Index < l.next {
		l.find(Damage, Entry, row.Index, row.Index, journal.EntryID{}, "Its number is out of order.", doDatabase)
		return
	}
	if row.Index > l.next {
		l.gap(row.Index)
	}
	l.blocked = nil
	l.next = row.Index + 1
	l.report.Checked.Entries++
	intact, complete := l.tree.add(row.Bytes, row.Nodes)
	if !complete {
		l.find(Damage, Entry, row.Index, row.Index, journal.EntryID{}, "The tree hashes stored beside it are not as many as its place in the log demands.", doDatabase)
	}
	l.keepLeaf(row)
	l.entry(row, intact)
	l.checkpoint(row)
	l.signedThere(row)
	for l.more && l.waiting.Size <= l.next {
		l.countersignature(l.waiting)
		l.nextReceipt()
	}
	l.step()
}

// gap reports that entries from l.next up to end are not there.
func (l *logAudit) gap(end int64) {
	from, until := l.next, end
	if l.blocked != nil {
		l.find(Damage, Entry, l.blockage, end-1, journal.EntryID{}, fmt.Sprintf("It cannot be read: %v.", l.blocked), doDatabase)
		end = l.blockage
	}
	if from < end {
		l.find(Damage, Entry, from, end-1, journal.EntryID{}, "It is missing.", doRestore)
	}
	l.tree.skip(until)
}

// finish says what can be said at the end of a log only.
func (l *logAudit) finish(ctx context.Context, raw RawLog) {
	none := journal.EntryID{}
	if l.blocked != nil {
		l.find(Damage, Entry, l.blockage, max(raw.Size-1, l.blockage), none, fmt.Sprintf("It cannot be read: %v.", l.blocked), doDatabase)
	}
	if l.signed < l.next {
		l.find(Damage, Checkpoint, l.signed, l.next-1, none, "There is no checkpoint over the last entries of the log, so nothing signs them.", doRestore)
	}
	l.oddities(neither, l.tree.odd)
	for l.more {
		l.countersignature(l.waiting)
		l.nextReceipt()
	}
	l.checkReach()
	if l.promised > l.next {
		l.find(Damage, Log, l.next, l.promised-1, none,
			fmt.Sprintf("The hub countersigned more entries of this log (%d) than are here (%d): the end of the log is gone.", l.promised, l.next), doRestore)
	}
	for _, kind := range slices.Sorted(maps.Keys(l.newer)) {
		s := l.newer[kind]
		l.find(Remark, Entry, s.First, s.Last, none, "Here and maybe in between, entries of the kind "+kind+" were written by a newer fettlebook; they are kept and proven, and their data was not checked.", doNewer)
	}
	if l.hub {
		l.hubSize = l.next
		l.nowSigned()
	}
	l.checkUnseen(ctx)
	slices.SortStableFunc(l.report.Findings[l.begin:], func(x, y Finding) int { return cmp.Compare(first(x), first(y)) })
}

func first(f Finding) int64 {
	if f.Where.Entries == nil {
		return -1
	}
	return f.Where.Entries.First
}

// clock checks that the device's own clock ran forward.
func (l *logAudit) clock(at int64, e *journal.Entry) {
	if e.Boot == l.boot && e.Uptime < l.uptime {
		l.find(Remark, Entry, at, at, e.ID, "The device’s running time went backwards within one start of it.", doClock)
	}
	l.boot, l.uptime = e.Boot, e.Uptime
	if apart := e.ID.Time().Sub(time.Time(e.Time)).Abs(); apart > journal.MaxAhead {
		l.find(Remark, Entry, at, at, e.ID, "The device’s clock and the order of entries lie more than ten minutes apart: the clock had been set back.", doClock)
	}
}

// seen checks what the entry says it has seen of the hub's log.
func (l *logAudit) seen(at int64, e *journal.Entry) {
	if e.Seen.IsZero() || l.hub {
		return
	}
	s, known := l.states[e.Seen.Size]
	l.checkCited(at, e)
	switch {
	case e.Seen.Size > l.hubSize:
		if l.unseen.First < 0 {
			l.unseen.First = at
		}
		l.unseen.Last, l.newest = at, max(l.newest, e.Seen.Size)
	case !known:
		// No signature over just this state is here to compare with.
	case s.root != e.Seen.Root:
		l.find(Damage, Entry, at, at, e.ID, "It cites a state that the hub’s log never had.", doAsk)
	case bytes.Compare(e.ID[:], s.last[:]) < 0:
		l.find(Remark, Entry, at, at, e.ID, "It sorts before an entry of the hub’s log that it had seen: one of the two clocks was wrong.", doClock)
	}
}

// checkUnseen reports entries that cite more of the hub's log than is here. A
// machine cites only what it holds, so for its own log the end of the hub's is
// gone; entries of others may have come before it.
func (l *logAudit) checkUnseen(ctx context.Context) {
	if l.unseen.First < 0 {
		return
	}
	l.find(here(l.own && !l.hubGrew(ctx)), Entry, l.unseen.First, l.unseen.Last, journal.EntryID{},
		fmt.Sprintf("More entries of the hub’s log are cited (%d) than are here (%d).", l.newest, l.hubSize), doSync)
}

// hubGrew reports whether the hub's log got entries while the audit ran.
func (l *logAudit) hubGrew(ctx context.Context) bool {
	for raw := range l.Logs.RawLogs(ctx) {
		if raw.Device == string(l.Hub) {
			return raw.Size > l.hubSize
		}
	}
	return false
}
