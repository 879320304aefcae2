package audit

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/words"
)

// changeKeys takes in a change of the hub's keys, if the keys before it signed it.
func (l *logAudit) changeKeys(where Where, e *journal.Entry, p *journal.KeyChange) {
	if err := l.keys.Add(e, where.Entries.First); err != nil {
		l.damage(where, "It changes the hub’s keys and is not signed by the keys before it and by the new ones, so the hub goes on with those from before.", doAsk)
		return
	}
	l.remark(where, fmt.Sprintf("The hub’s keys were changed here, %s%s%s. The old ones sign nothing that comes after it.", words.Zoned(time.Time(e.Time)), journal.KeyReasonSaid(p.Because),
		words.If(p.Unsigned(), "; they did not sign it, and this folder goes by the word of the shop’s people")), doNothing)
}

// open opens a state of the log by its device's key, of the hub's by that of the time.
func (l *logAudit) open(signed []byte) (proof.Checkpoint, error) {
	if l.hub {
		return l.keys.OpenState(signed)
	}
	return proof.Open(signed, l.key)
}

// replaced says of a countersignature that its key was not the hub's any more.
func (l *logAudit) replaced(r *proof.Replaced) string {
	return fmt.Sprintf("It is signed with keys that the hub had replaced by then%s; their word holds up to entry %d.", journal.KeyReasonSaid(r.By.Change.Because), r.Reach)
}

// nowSigned notes with which keys the hub goes on.
func (l *logAudit) nowSigned() {
	now := l.keys.Now()
	l.register.Keys[l.Hub], l.register.Cosign = now.Log, now.Cosign
}
