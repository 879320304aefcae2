package record

import (
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// sayCoat states the work of the coating shop before and after the oven.
func sayCoat(p journal.Payload) string {
	switch p := p.(type) {
	case *journal.Blasting:
		return words.Clauses("blasted with "+p.Media, given("at %s", p.Pressure), given("for %s", p.Took), hungOn(p.Rack))
	case *journal.Masking:
		return words.Clauses("masked: "+items(p.Features), words.Count(p.Plugs, "plug")+" in")
	case *journal.Coating:
		return words.Clauses(fmt.Sprintf("coat %d of lot %s", p.Coat, p.Lot), given("metal %s", p.Metal), given("air %s", p.Air), given("humidity %s", p.Humidity),
			given("charge %s", p.Charge), given("part to earth %s", p.Earth), hungOn(p.Rack))
	case *journal.Unmasking:
		return words.Count(p.Plugs, "plug") + " out"
	case *journal.FilmReadings:
		return words.Clauses("film: "+spots(p.Spots), text("wanted %s", span(p.Low, p.High)), given("bare metal reads %s", p.Base), text("gauge %s", p.Gauge))
	case *journal.AdhesionTest:
		return words.Clauses(fmt.Sprintf("cross-cut class %s by %s on the %s", p.Class, p.Scale, p.On), hungOn(p.Rack))
	case *journal.SolventRub:
		return words.Clauses(fmt.Sprintf("%s with %s on the %s: %s", words.Count(p.DoubleRubs, "double rub"), p.Solvent, p.On, p.Result), hungOn(p.Rack))
	case *journal.Defect:
		return words.Clauses(fmt.Sprintf("defect: %s at %s", p.Defect, p.Face), yes(p.Count > 0, fmt.Sprintf("%d of them", p.Count)),
			given("size %s", p.Size), text("seen %s", p.Seen), text("thought to come from run %s", p.Run))
	case *journal.Rework:
		return fmt.Sprintf("decided: %s, because %s", p.Decision, p.Reason)
	}
	return ""
}

// spots writes the readings, spot by spot.
func spots(spots []journal.Spot) string {
	var words []string
	for _, s := range spots {
		var readings []string
		for _, r := range s.Readings {
			readings = append(readings, r.String())
		}
		words = append(words, s.Place+" "+strings.Join(readings, ", "))
	}
	return strings.Join(words, "; ")
}
