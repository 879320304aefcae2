package facts

import (
	"fmt"
	"math"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
)

// film judges the last readings, if no coat or bake came after them. The range
// is the one written with the readings, else the powder's, else the usual one.
func (w *Job) film(p *partWork, g *Group) (f card.FilmFacts) {
	e, r := last[journal.FilmReadings](p.events)
	if r == nil {
		g.await(FilmMean, NotMeasured)
		return f
	}
	g.rests(e.Line)
	if later := lastOf(p.events, doing(journal.ChangesFilm)); later.after(e) {
		g.undo(later.Line, FilmMean, CoatedAfter)
		return f
	}
	f.Done, f.Spots = true, len(r.Spots)
	var lot *journal.PowderLot
	if _, c := last[journal.Coating](p.coat()); c != nil {
		lot, _ = w.stock.Lot(c.Lot)
	}
	result, err := w.stock.judgeFilm(r, lot)
	if err != nil {
		g.state(Statement{Quantity: FilmMean, Met: NotKnown, Sure: NotProven, Because: CannotJudge, Fault: err}, e.Line)
		return f
	}
	f.Pass, f.Mean = result.Pass, result.Area
	g.state(filmStatement(result), e.Line)
	return f
}

// filmStatement says what a film came to.
func filmStatement(r film.Result) Statement {
	low, high := r.Asked()
	passes := met(r.Pass)
	if r.Pass && r.Few() {
		passes = NotKnown
	}
	return Statement{
		Quantity: FilmMean, Limit: Limit{Low: low, High: high, Printed: r.Printed()}, Source: r.Spec.Source,
		With: []Figure{with("spots", fmt.Sprint(len(r.Spots)))}, Met: passes, Sure: Measured, Result: r,
	}.valued(r.Shown(r.Area))
}

// dew takes the least margin of all powders of this coat.
func (p *partWork) dew(g *Group, units unit.System) (f card.DewFacts) {
	f.Margin = math.Inf(1)
	f.Known = true
	powders := 0
	for _, e := range p.coat() {
		c, ok := e.Data.(*journal.Coating)
		if !ok {
			continue
		}
		powders++
		r, err := dew.Judge(dew.Reading{Air: c.Air, Humidity: c.Humidity, Metal: c.Metal, Units: units})
		if err != nil {
			f.Known = false
			g.state(Statement{Quantity: DewMargin, Of: fmt.Sprint(c.Coat), Met: NotKnown, Sure: NotProven, Because: NotAllRead, Fault: err}, e.Line)
			continue
		}
		f.Margin = math.Min(f.Margin, r.Margin)
		g.state(dewStatement(c.Coat, r), e.Line)
	}
	if powders == 0 {
		g.await(DewMargin, NoPowder)
	}
	if f.Known = f.Known && powders > 0; !f.Known {
		f.Margin = 0
	}
	return f
}

// dewStatement says how far the metal was above the dew point.
func dewStatement(coat int, r dew.Result) Statement {
	return Statement{
		Quantity: DewMargin, Of: fmt.Sprint(coat), Limit: Limit{Low: r.Difference(r.Wanted)}, Source: r.WantedSource,
		Met: met(r.Pass), Sure: Measured, Result: r,
	}.valued(r.Difference(r.Margin))
}

// defects counts what was found and what was decided about it. Decisions may
// stand anywhere in the job.
func (w *Job) defects(events []Event, g *Group) (f card.DefectFacts) {
	decided := make(map[journal.EntryID]Event)
	for _, e := range w.all {
		if r, ok := e.Data.(*journal.Rework); ok {
			decided[r.Of] = e // the last decision holds
		}
	}
	for _, e := range events {
		d, ok := e.Data.(*journal.Defect)
		if !ok {
			continue
		}
		f.Found++
		g.rests(e.Line)
		how, known := decided[e.Line.ID]
		if !known {
			f.Open++
			g.pend(Statement{About: g.About, Quantity: DefectFound, Of: d.Called(), With: []Figure{with("face", d.Face)}, Met: NotKnown, Sure: NotYet, Because: NotDecided})
			continue
		}
		decision := how.Data.(*journal.Rework).Decision
		g.state(Statement{Quantity: DefectFound, Of: d.Called(), Value: string(decision), With: []Figure{with("face", d.Face)}}, e.Line, how.Line)
		switch decision {
		case journal.StripAndRecoat:
			f.Rework++
			on := events
			if p := w.found[e.Line.ID]; p != nil { // powder on another part is none on this
				on = p.events
			}
			if coat, _ := first[journal.Coating](on, &how); coat == nil {
				f.Redo++
			}
		case journal.ScrapPart:
			f.Scrap++
		}
	}
	if f.Found == 0 {
		g.state(Statement{Quantity: DefectFound})
	}
	return f
}
