package route

import (
	"fmt"
	"strings"

	"fettlebook/journal"
)

// Waiver is who waived a quality hold, and why.
type Waiver struct {
	At     journal.EntryID  `json:"at"`
	By     journal.PersonID `json:"by"`
	Reason string           `json:"reason"`
}

// waive looks for a waiver of a hold that is not met. One counts if the hold
// is of class quality, the person has the duty to waive, and nothing that the
// hold rests on was written after it.
func (c *checker) waive(v *Verdict, h *Hold) {
	newest := v.Undone
	if n := len(v.Entries); n > 0 && compareIDs(v.Entries[n-1], newest) > 0 {
		newest = v.Entries[n-1]
	}
	for _, e := range c.all {
		d, ok := e.data.(*journal.Waiver)
		if !ok || d.Hold != h.ID || !covers(e.line.Subject, v.Subject) {
			continue
		}
		by := e.line.By
		switch {
		case h.Class != Quality:
			v.note("%s waived this with the reason %q; a safety hold can only be met, so that does not count", by, d.Reason)
		case !c.may(by, "waive", e.line.ID):
			v.note("%s waived this and has not the duty to waive, so that does not count", by)
		case compareIDs(newest, e.line.ID) > 0:
			v.note("%s waived this before its last entry was written, so that does not count any more", by)
		default:
			v.State = Waived
			v.Waiver = &Waiver{At: e.line.ID, By: by, Reason: d.Reason}
			v.Undone = journal.EntryID{}
			v.Why = fmt.Sprintf("waived by %s: %s", by, d.Reason)
		}
	}
}

func (v *Verdict) note(format string, args ...any) {
	v.Notes = append(v.Notes, fmt.Sprintf(format, args...))
}

// covers reports whether a subject is the other one or holds it.
func covers(wide, narrow journal.Subject) bool {
	return wide == narrow || strings.HasPrefix(string(narrow), string(wide)+"/")
}
