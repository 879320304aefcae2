package audit

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// A press signs once, over all that it wrote, and takes moments. What lies apart further
// than apart was not written together.
const apart = 10 * time.Second

// bare is an entry beside which no checkpoint lies.
type bare struct {
	is     bool
	at     int64
	id     journal.EntryID
	boot   journal.BootID
	uptime journal.Uptime
}

// together looks at whether the entry before, which no checkpoint lies beside, was written
// in one press with this one. Only a log's own device keeps all its checkpoints.
func (l *logAudit) together(at int64, e *journal.Entry) {
	b := l.bare
	if b.is && l.own && b.at == at-1 && (b.boot != e.Boot || time.Duration(e.Uptime-b.uptime) > apart) {
		l.find(Damage, Checkpoint, b.at, b.at, b.id, "The checkpoint that was signed after it is gone.", doRestore)
	}
	l.bare = bare{at: at, id: e.ID, boot: e.Boot, uptime: e.Uptime}
}

// signedThere notes whether a checkpoint lies beside the row, and demands one where the hub
// countersigned: it signs under the device's own. Only the hub, and a log's own device, keep
// the log as it was signed then.
func (l *logAudit) signedThere(row RawEntry) {
	l.bare.is = row.Checkpoint == nil && l.bare.at == row.Index
	if row.Checkpoint == nil && l.more && l.waiting.Size == l.next && (l.own || l.owns(l.Hub)) {
		l.find(Damage, Checkpoint, row.Index, row.Index, journal.EntryID{}, "The checkpoint that the hub countersigned is gone from beside its entry.", doRestore)
	}
}

// receiptTime holds the hub's time under a countersignature against what the hub's own
// clock said before.
func (l *logAudit) receiptTime(c journal.Countersigned, at time.Time) {
	say := func(what string) {
		l.find(Remark, Countersignature, c.Size-1, c.Size-1, journal.EntryID{}, what, doHubClock)
	}
	switch {
	case at.Before(l.stamped):
		say("The hub’s time under it is earlier than under the one before: the hub’s clock was set back, or it was signed later than it says.")
	case c.Size == l.next && at.Before(l.saw.Truncate(time.Second)):
		say("The hub’s time under it is earlier than that of an entry of the hub which the device had already seen: the hub’s clock was set back, or it was signed later than it says.")
	}
	if at.After(l.stamped) {
		l.stamped = at
	}
	if l.hub {
		l.receipts[c.Size] = true
	}
}

// checkCited demands the countersignature of the state of the hub's log that an entry
// written here cites: it was here when the entry was written.
func (l *logAudit) checkCited(at int64, e *journal.Entry) {
	if n := e.Seen.Size; n <= int64(len(l.hubTimes)) && n > 0 && l.hubTimes[n-1].After(l.saw) {
		l.saw = l.hubTimes[n-1]
	}
	if l.own && e.Seen.Size <= l.hubSize && l.cosigner != nil && !l.receipts[e.Seen.Size] {
		l.find(Damage, Entry, at, at, e.ID, "It cites a countersigned state of the hub’s log, and that countersignature is gone.", doSync)
	}
}

// checkReach says at the hub how much of a log nothing of the hub's is signed over: what was
// taken away from the end of it since would not show.
func (l *logAudit) checkReach() {
	if rest := l.next - l.promised; l.owns(l.Hub) && l.cosigner != nil && rest > 0 {
		l.find(Remark, Log, l.promised, l.next-1, journal.EntryID{},
			fmt.Sprintf("The hub has not countersigned the log to its end: %s %s after the last countersignature.", words.Count(int(rest), "entry"), words.Choose(rest == 1, "comes", "come")), doCountersign)
	}
}

// hubAt keeps the time of an entry of the hub's log.
func (l *logAudit) hubAt(index int64, at time.Time) {
	for int64(len(l.hubTimes)) < index { // before it some cannot be read
		l.hubTimes = append(l.hubTimes, time.Time{})
	}
	l.hubTimes = append(l.hubTimes, at)
}
