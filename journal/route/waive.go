package route

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
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
func (c *Held) waive(v *Verdict, h *card.Hold, newest *record.Line) {
	for _, e := range c.job.Events() {
		d, ok := e.Data.(*journal.Waiver)
		if !ok || d.Hold != h.ID || !facts.Covers(e.Line.Subject, v.Subject) {
			continue
		}
		by := e.Line.By
		who := c.stock.Shop().Initials(by)
		switch {
		case h.Class != card.Quality:
			v.note("%s waived this with the reason %s; a safety hold can only be met, so the waiver does not count", who, words.Quoted(d.Reason))
		case !c.job.May(by, journal.WaiveDuty, e.Line):
			v.note("%s waived this without being authorised to waive, so the waiver does not count", who)
		case facts.After(newest, e.Line):
			v.note("%s waived this before its last entry was written, so the waiver no longer counts", who)
		default:
			v.State = Waived
			v.Waiver = &Waiver{At: e.Line.ID, By: by, Reason: d.Reason}
			v.Undone = journal.EntryID{}
			v.say("", fmt.Sprintf("waived by %s: %s", who, d.Reason))
		}
	}
}

func (v *Verdict) note(format string, args ...any) {
	v.Notes = append(v.Notes, fmt.Sprintf(format, args...))
}
