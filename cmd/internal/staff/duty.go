package staff

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Keeps is what somebody has to be authorised for who signed in at the desk and writes an
// entry of a kind there: who works in the shop the owner says, the rest of the register
// whoever keeps the desk. "" is for what any bench may write too.
func Keeps(kind journal.Kind) journal.Duty {
	switch {
	case kind == journal.PersonAdded, kind == journal.PersonRetired:
		return journal.OwnerDuty
	case kind.Writer() == journal.HubOnly:
		return journal.DeskDuty
	}
	return ""
}

// May reports whether somebody is authorised for a duty; anybody is for none.
func May(shop *record.Shop, by journal.PersonID, duty journal.Duty) bool {
	return duty == "" || slices.ContainsFunc(shop.Authorised(duty), func(p *record.Person) bool { return p.ID == by })
}

// Barred says that somebody is not authorised for a duty, and who is.
func Barred(shop *record.Shop, by journal.PersonID, duty journal.Duty) *Refused {
	does := "keep the register and the tablets"
	if duty == journal.OwnerDuty {
		does = "say who works in the shop and who signs in"
	}
	return &Refused{fmt.Sprintf("%s is not authorised to %s, so nothing was written; %s", shop.Initials(by), does, Who(shop, duty))}
}

// Who says who is authorised for a duty.
func Who(shop *record.Shop, duty journal.Duty) string {
	var list []string
	for _, p := range shop.Authorised(duty) {
		list = append(list, p.Stated.Initials)
	}
	return Are(list)
}

// Are says of people that it is they who are authorised.
func Are(initials []string) string {
	switch len(initials) {
	case 0:
		return "nobody on the register is; that is changed at the hub’s desk, under “People”"
	case 1:
		return initials[0] + " is"
	}
	return words.And(initials...) + " are"
}
