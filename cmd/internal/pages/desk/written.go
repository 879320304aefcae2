package desk

import (
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// WrittenPath is where whoever wrote an entry at the desk is led: to its own page, or
// back to the follow-ups if it settles one of them; "" for where its form leads.
func WrittenPath(l *record.Line) string {
	switch d := l.Effect().(type) {
	case *journal.Investigation:
		return readonly.InvestigationPath(l.ID)
	case *journal.Contact:
		if d.Keeps != "" || !d.Of.IsZero() {
			return "/due"
		}
	case *journal.Retorque, *journal.ClaimDecision:
		return "/due"
	}
	return ""
}
