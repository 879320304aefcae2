package record

import (
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// sayRegister states what the hub keeps on the shop's register.
func sayRegister(p journal.Payload) string {
	switch p := p.(type) {
	case *journal.Shop:
		return fmt.Sprintf("the journal of %s was begun", p.Name)
	case *journal.Invitation:
		return fmt.Sprintf("a tablet%s may join until %s", text(" called %s", p.Name), p.Expires)
	case *journal.Device:
		return words.Clauses(fmt.Sprintf("tablet %s joined as %s", p.Device, p.Name), text("in the place of %s", p.Replaces))
	case *journal.Revocation:
		return fmt.Sprintf("tablet %s was revoked: %s", p.Device, p.Reason)
	case *journal.ForkFound:
		return fmt.Sprintf("tablet %s showed two histories; both are kept", p.Device)
	case *journal.Person:
		return words.Clauses(fmt.Sprintf("%s works here", p.Person), text("stamp %s", p.Initials), text("may do: %s", words.Commas(p.Duties...)), text("card %s", p.Card))
	case *journal.Retirement:
		return fmt.Sprintf("%s works here no more", p.Person)
	case *journal.RouteCard:
		return fmt.Sprintf("route card %s, edition %d, holds from now on", p.Route, p.Edition)
	case *journal.PowderLot:
		return words.Clauses(fmt.Sprintf("lot %s came in: %s", p.Lot, p.Colour), string(p.Chemistry), p.Mass.String(), schedule(p.Schedule),
			text("film %s", span(p.FilmLow, p.FilmHigh)), text("as on %s", p.Sheet), text("use by %s", p.UseBy))
	case *journal.FluidContainer:
		return words.Clauses(fmt.Sprintf("container %s was opened: %s", p.Fluid, p.Grade), p.Volume.String(), text("batch %s", p.Batch), text("use by %s", p.UseBy))
	case *journal.Tool:
		return words.Clauses(fmt.Sprintf("%s is in use: %s", p.Tool, p.What), text("serial %s", p.Serial), span(p.Low, p.High), given("± %s", p.Tolerance))
	case *journal.ToolCheck:
		return words.Clauses(fmt.Sprintf("%s was checked: %s", p.Tool, p.Result), text("certificate %s", p.Certificate),
			text("next check %s", p.Due), yes(p.Cycles > 0, fmt.Sprintf("or after %s", words.Count(p.Cycles, "use"))))
	case *journal.TorqueSpec:
		return words.Clauses(fmt.Sprintf("figure %s for %s: %s", p.Spec, p.Joint, p.Nominal), span(p.Low, p.High), string(p.From), text("page %s", p.Page))
	case *journal.ClockReading:
		return fmt.Sprintf("clock of %s against the hub's: %s, round trip %s", p.Device, signedSeconds(p.OffsetMs), seconds(p.RoundTripMs))
	case *journal.LogNote:
		return fmt.Sprintf("from entry %d on, tablet %s says in each entry what it had seen", p.From+1, p.Device)
	case *journal.LogClosing:
		if p.Counts == 0 {
			return fmt.Sprintf("nothing in the log of tablet %s counts", p.Device)
		}
		return fmt.Sprintf("the log of tablet %s counts up to its entry %d", p.Device, p.Counts)
	}
	return ""
}

// schedule writes the points of a bake: "10 min at 200 °C or 15 min at 190 °C".
func schedule(points []journal.BakePoint) string {
	var words []string
	for _, b := range points {
		words = append(words, fmt.Sprintf("%s at %s", b.Hold, b.Metal))
	}
	return text("bake %s metal", strings.Join(words, " or "))
}
