package record

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// sayJob states what is done between the counter and the coating shop.
func sayJob(p journal.Payload) string {
	switch p := p.(type) {
	case *journal.Job:
		return words.Clauses("opened: "+vehicle(p.Vehicle), given("odometer %s", p.Odometer), text("corners %s", words.Commas(p.Corners...)),
			text("wish: %s", p.Wish), text("route card %s", p.Route)+yes(p.Edition > 0, fmt.Sprintf(" edition %d", p.Edition)))
	case *journal.Arrival:
		return words.Clauses("came in", given("odometer %s", p.Odometer), text("found: %s", words.Commas(p.Found...)),
			either(p.Agreed, "agreed with the customer", "not agreed with the customer"))
	case *journal.Raising:
		return fmt.Sprintf("raised on %s at %s", words.Count(p.Stands, "stand"), p.Points)
	case *journal.Removal:
		return words.Clauses(either(p.Supplied, "brought by the customer", "off the vehicle"), p.Condition)
	case *journal.Tagging:
		return words.Clauses("tag "+p.Tag, text("cast mark %s", p.Mark), string(p.Metal))
	case *journal.Bagging:
		return fmt.Sprintf("bag %s: %s", p.Bag, items(p.Items))
	case *journal.Stripping:
		return fmt.Sprintf("out: %s; rubber: %s", words.Commas(p.Removed...), p.Rubber)
	case *journal.Degreasing:
		return words.Clauses("degreased with "+p.Agent, yes(p.Chlorinated, "chlorinated, keep away from heat"), hungOn(p.Rack))
	}
	return ""
}

func vehicle(v journal.Vehicle) string {
	return words.Commas(text("plate %s", v.Plate), text("VIN %s", v.VIN), v.Looks)
}

// hungOn counts the parts of a run.
func hungOn(r journal.Rack) string {
	return yes(len(r.Parts) > 0, words.Count(len(r.Parts), "part"))
}

func either(so bool, then, otherwise string) string {
	if so {
		return then
	}
	return otherwise
}
