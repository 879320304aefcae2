package write

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/cmd/internal/staff"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// duty is what whoever writes a kind has to be authorised for so that it counts,
// and how that is said; "" where nobody has to be.
func duty(kind journal.Kind) (of journal.Duty, says string) {
	switch kind {
	case journal.SecondChecked:
		return journal.SecondCheckDuty, "for second checks"
	case journal.HoldWaived:
		return journal.WaiveDuty, "to waive"
	case journal.VehicleReleased:
		return journal.ReleaseDuty, "to hand a vehicle back"
	}
	return "", ""
}

// authorised are the initials of the people who are authorised for a duty, and
// whether the one who works here is among them.
func (t *task) authorised(of journal.Duty) (others []string, self bool) {
	for _, p := range t.snap.Shop.Staff() {
		switch {
		case !slices.Contains(p.Stated.Duties, of):
		case p.ID == t.by:
			self = true
		default:
			others = append(others, p.Stated.Initials)
		}
	}
	return others, self
}

// unauthorised says that what somebody writes would not count, or would be refused, and
// who may write it; "" if they may. The one person of a shop looks again without being
// authorised, and where nobody is authorised to hand back, anybody hands back.
func (t *task) unauthorised() string {
	of, says := duty(t.kind)
	if of == "" || t.by == "" {
		return ""
	}
	crew := t.snap.Stock().Crew(nil)
	others, self := t.authorised(of)
	if self || of == journal.SecondCheckDuty && slices.Equal(crew, []journal.PersonID{t.by}) {
		return ""
	}
	would := "would not count"
	if of == journal.ReleaseDuty {
		if len(others) == 0 {
			return ""
		}
		would = "would be refused"
	}
	return fmt.Sprintf("%s is not authorised %s, so this %s. %s", t.snap.Shop.Initials(t.by), says, would, may(others))
}

// may says who is authorised.
func may(others []string) string {
	if len(others) == 0 {
		return words.Sentence(staff.Are(others))
	}
	return staff.Are(others) + "."
}

// ownOnly says in the place of an empty list that somebody else has to look.
func (t *task) ownOnly() {
	if f := t.sheet.Field("of"); t.kind == journal.SecondChecked && f != nil {
		others, _ := t.authorised(journal.SecondCheckDuty)
		f.None = "Nobody else has worked on the brakes of this vehicle. Whoever did the work does not check it a second time. Authorised for second checks: " + cmp.Or(words.And(others...), "nobody else yet") + "."
	}
}
