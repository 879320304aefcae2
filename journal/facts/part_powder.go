package facts

import (
	"fmt"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// lots says of each lot on the part whether it was within its date on the day
// that it went on.
func (w *Job) lots(p *partWork, g *Group) (f card.LotFacts) {
	for _, e := range p.coat() {
		c, ok := e.Data.(*journal.Coating)
		if !ok {
			continue
		}
		is := w.stock.LotAt(c.Lot, time.Time(e.Line.Clocks.Device))
		if is.Due.IsZero() {
			continue
		}
		f.Expired = f.Expired || is.Due.Past()
		g.state(Statement{
			Quantity: PowderFresh, Of: fmt.Sprint(c.Coat), Value: fmt.Sprint(is.Due.Days), Unit: "d", Limit: Limit{High: is.Due.On.Format(time.DateOnly)}, Source: onTheBox,
			With: []Figure{with("lot", string(c.Lot))}, Met: met(!is.Due.Past()),
		}, e.Line, is.Received)
	}
	return f
}

// onTheBox is where the last day of powder and fluid is printed.
const onTheBox = "the date on the container"

// What powder is sprayed by, where no sheet says otherwise.
const (
	mostReclaimed = 100.0 / 3 // %
	mostEarth     = 1.0       // MΩ
)

// coating says how the booth and the powder were when it went on.
func (w *entry) coating(d *journal.Coating) {
	w.dew(d)
	w.lot(d.Lot)
	w.approved(d)
	if !d.Earth.IsZero() {
		value, of := split(d.Earth)
		w.state(Statement{
			Quantity: Earth, Value: value, Unit: of, Limit: Limit{High: unit.Format(mostEarth, unit.Megohm, 0)}, Source: "EN 50177 and NFPA 33",
			Met: met(d.Earth.In(unit.Megohm) <= mostEarth), Safety: true,
		})
	}
	if !d.Reclaimed.IsZero() {
		value, of := split(d.Reclaimed)
		w.state(Statement{
			Quantity: Reclaimed, Value: value, Unit: of, Limit: Limit{High: "a third"}, Source: practice + "; the powder’s sheet comes first",
			Met: met(d.Reclaimed.In(unit.Percent) <= mostReclaimed),
		})
	}
	w.booth(d)
	w.air()
}

// booth says whether another colour may still be in the booth.
func (w *entry) booth(d *journal.Coating) {
	if d.BoothCleaned == "" && d.LastColour == "" {
		return
	}
	s := Statement{Quantity: Booth, Value: string(d.BoothCleaned), With: []Figure{with("last colour", d.LastColour)}}
	if lot, _ := w.Lot(d.Lot); d.BoothCleaned == "" && lot != nil && !strings.EqualFold(strings.TrimSpace(lot.Colour), strings.TrimSpace(d.LastColour)) {
		s.Met, s.Limit, s.Source = No, Limit{Words: "cleaned at every change of colour"}, practice
	}
	w.state(s)
}

// sprayedWords says how powder, booth and part were at the spraying.
func (s Statement) sprayedWords() string {
	verdict := words.Choose(s.Met == No, "fails", "passes")
	switch s.Quantity {
	case PowderFresh:
		days, past := strings.CutPrefix(s.Value, "-")
		if past {
			return fmt.Sprintf("coat %s: lot %s was %s past its date, %s", s.Of, s.Has("lot"), count(days, "day"), s.calendar(s.Limit.High))
		}
		return fmt.Sprintf("coat %s: lot %s was within its date, %s", s.Of, s.Has("lot"), s.calendar(s.Limit.High))
	case Earth:
		return fmt.Sprintf("part to earth %s; at most %s is allowed: %s", s.Figure(), s.Limit.High, verdict)
	case Reclaimed:
		return fmt.Sprintf("%s of the powder was reclaimed; at most %s is usual: %s", s.Figure(), s.Limit.High, verdict)
	case Booth:
		last := s.Has("last colour")
		switch {
		case s.Value != "":
			return "the booth was cleaned on " + s.calendar(s.Value) + words.Fill(", after %s", last)
		case s.Met == No:
			return fmt.Sprintf("%s was sprayed before, and nobody has written that the booth was cleaned after it", last)
		}
		return "the same colour was sprayed before: " + last
	}
	return ""
}
