package record

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// sayHandover states how the vehicle left.
func sayHandover(p journal.Payload) string {
	switch p := p.(type) {
	case *journal.RoadTest:
		return fmt.Sprintf("driven %s: %s", p.Distance, p.Result)
	case *journal.Release:
		return words.Clauses("handed back", given("odometer %s", p.Odometer), text("told: %s", words.Commas(p.Told...)))
	case *journal.Seal:
		return fmt.Sprintf("sealed %s, root %s", entries(p.Entries), p.Root)
	}
	return ""
}

// sayAfter states what comes after handover, and what can be said at any time.
func sayAfter(p journal.Payload) string {
	switch p := p.(type) {
	case *journal.CardWriting:
		return fmt.Sprintf("customer card %s was written", p.Card)
	case *journal.CardErasing:
		return fmt.Sprintf("customer card %s was erased: %s", p.Card, p.Reason)
	case *journal.Withdrawal:
		return fmt.Sprintf("photograph %.19s… was withdrawn: %s", p.Photo, p.Reason)
	case *journal.Retorque:
		return words.Clauses(fmt.Sprintf("wheel nuts again at %s with %s", p.Torque, p.Tool), given("after %s", p.Distance), either(p.Moved, "a nut moved", "no nut moved"))
	case *journal.Contact:
		return words.Clauses(fmt.Sprintf("%s about %s", p.How, p.About), yes(!p.Reached, "nobody reached"), text("answer: %s", p.Answer))
	case *journal.Claim:
		return words.Clauses("complaint: "+p.Says, given("odometer %s", p.Odometer))
	case *journal.ClaimDecision:
		return fmt.Sprintf("complaint settled: %s, because %s", p.Decision, p.Reason)
	case *journal.Snapshot:
		return "photographed"
	case *journal.Remark:
		return p.Note
	case *journal.Correction:
		return "corrected: " + p.Reason
	case *journal.Waiver:
		return fmt.Sprintf("hold %s waived: %s", p.Hold, p.Reason)
	case *journal.SecondCheck:
		return fmt.Sprintf("second person looked: %s", p.Finds)
	case *journal.OrderStatement:
		return fmt.Sprintf("said which of two entries was done first: %s", p.How)
	}
	return ""
}

func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}
