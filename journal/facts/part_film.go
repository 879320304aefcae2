package facts

import (
	"fettlebook/journal/card"
	"math"

	"fettlebook/journal"
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
)

// film judges the last readings, if no coat or bake came after them. The range
// is the one written with the readings, else the powder's, else the usual one.
func (w *Job) film(p *partWork, g *Group) (f card.FilmFacts) {
	e, r := last[journal.FilmReadings](p.events)
	if r == nil {
		g.wait("the film was not measured yet")
		return f
	}
	g.rests(e.Line)
	if later := lastOf(p.events, doing(journal.ChangesFilm)); later.after(e) {
		g.undo(later.Line, "the part was coated, baked or blasted after the film was measured")
		return f
	}
	spec, err := w.filmSpec(p, r)
	survey := film.Survey{Base: r.Base}
	for _, s := range r.Spots {
		survey.Spots = append(survey.Spots, film.Spot{Place: s.Place, Readings: s.Readings})
	}
	f.Done, f.Spots = true, len(r.Spots)
	var result film.Result
	if err == nil {
		result, err = film.Judge(survey, spec, film.DefaultLevel)
	}
	if err != nil {
		g.say("the readings cannot be judged: %s", err)
		return f
	}
	f.Pass, f.Mean = result.Pass, result.Area
	g.say("%s", result.Say())
	return f
}

func (w *Job) filmSpec(p *partWork, r *journal.FilmReadings) (film.Spec, error) {
	if !r.Low.IsZero() && !r.High.IsZero() {
		return film.Spec{Low: r.Low, High: r.High, Source: "as written with the readings"}, nil
	}
	if _, c := last[journal.Coating](p.coat()); c != nil {
		if lot, _ := w.stock.Lot(c.Lot); lot != nil && !lot.FilmLow.IsZero() && !lot.FilmHigh.IsZero() {
			return film.Spec{Low: lot.FilmLow, High: lot.FilmHigh, Source: "data sheet of lot " + string(c.Lot)}, nil
		}
	}
	return film.DefaultSpec()
}

// dew takes the least margin of all powders of this coat.
func (p *partWork) dew(g *Group) (f card.DewFacts) {
	f.Margin = math.Inf(1)
	f.Known = true
	powders := 0
	for _, e := range p.coat() {
		c, ok := e.Data.(*journal.Coating)
		if !ok {
			continue
		}
		powders++
		g.rests(e.Line)
		r, err := dew.Judge(c.Air, c.Humidity, c.Metal, unit.TemperatureDifference{})
		if err != nil {
			f.Known = false
			g.say("air, humidity and metal were not all read at coat %d", c.Coat)
			continue
		}
		f.Margin = math.Min(f.Margin, r.Margin)
		g.say("%s", r.Say())
	}
	if powders == 0 {
		g.wait("no powder is on yet")
	}
	if f.Known = f.Known && powders > 0; !f.Known {
		f.Margin = 0
	}
	return f
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
			g.wait("nobody decided about the %s on %s yet", d.Defect, d.Face)
			continue
		}
		g.rests(how.Line)
		decision := how.Data.(*journal.Rework).Decision
		g.say("%s on %s: %s", d.Defect, d.Face, decision)
		switch decision {
		case "strip and recoat":
			f.Rework++
			if coat, _ := first[journal.Coating](events, &how); coat == nil {
				f.Redo++
			}
		case "scrap the part":
			f.Scrap++
		}
	}
	if f.Found == 0 {
		g.say("no defect was written down")
	}
	return f
}
