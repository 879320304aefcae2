package route

import (
	"math"

	"fettlebook/journal"
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
)

// film judges the last readings, if no coat or bake came after them. The range
// is the one written with the readings, else the powder's, else the usual one.
func (w *work) film(p *partWork) (f filmFacts) {
	e, r := last[journal.FilmReadings](p.events, ever)
	if r == nil {
		f.wait("the film was not measured yet")
		return f
	}
	f.rests(e.line)
	if later := lastOf(p.events, changesFilm); later.place() > e.at {
		f.undo(later.line, "the part was coated, baked or blasted after the film was measured")
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
		f.say("the readings cannot be judged: %s", err)
		return f
	}
	f.Pass, f.Mean = result.Pass, result.Area
	f.say("%s", result.Say())
	return f
}

func (w *work) filmSpec(p *partWork, r *journal.FilmReadings) (film.Spec, error) {
	if !r.Low.IsZero() && !r.High.IsZero() {
		return film.Spec{Low: r.Low, High: r.High, Source: "as written with the readings"}, nil
	}
	if _, c := last[journal.Coating](p.coat(), ever); c != nil {
		if lot, _ := w.lot(c.Lot); lot != nil && !lot.FilmLow.IsZero() && !lot.FilmHigh.IsZero() {
			return film.Spec{Low: lot.FilmLow, High: lot.FilmHigh, Source: "data sheet of lot " + string(c.Lot)}, nil
		}
	}
	return film.DefaultSpec()
}

func changesFilm(e event) bool {
	switch e.data.(type) {
	case *journal.Coating, *journal.BakeStart, *journal.Blasting:
		return true
	}
	return false
}

// dew takes the least margin of all powders of this coat.
func (p *partWork) dew() (f dewFacts) {
	f.Margin = math.Inf(1)
	f.Known = true
	powders := 0
	for _, e := range p.coat() {
		c, ok := e.data.(*journal.Coating)
		if !ok {
			continue
		}
		powders++
		f.rests(e.line)
		r, err := dew.Judge(c.Air, c.Humidity, c.Metal, unit.TemperatureDifference{})
		if err != nil {
			f.Known = false
			f.say("air, humidity and metal were not all read at coat %d", c.Coat)
			continue
		}
		f.Margin = math.Min(f.Margin, r.Margin)
		f.say("%s", r.Say())
	}
	if powders == 0 {
		f.wait("no powder is on yet")
	}
	if f.Known = f.Known && powders > 0; !f.Known {
		f.Margin = 0
	}
	return f
}

// defects counts what was found and what was decided about it. Decisions may
// stand anywhere in the job.
func (w *work) defects(events []event) (f defectFacts) {
	decided := make(map[journal.EntryID]event)
	for _, e := range w.all {
		if r, ok := e.data.(*journal.Rework); ok {
			decided[r.Of] = e // the last decision holds
		}
	}
	for _, e := range events {
		d, ok := e.data.(*journal.Defect)
		if !ok {
			continue
		}
		f.Found++
		f.rests(e.line)
		how, known := decided[e.line.ID]
		if !known {
			f.Open++
			f.wait("nobody decided about the %s on %s yet", d.Defect, d.Face)
			continue
		}
		f.rests(how.line)
		decision := how.data.(*journal.Rework).Decision
		f.say("%s on %s: %s", d.Defect, d.Face, decision)
		switch decision {
		case "strip and recoat":
			f.Rework++
			if coat, _ := first[journal.Coating](events, how.at); coat == nil {
				f.Redo++
			}
		case "scrap the part":
			f.Scrap++
		}
	}
	if f.Found == 0 {
		f.say("no defect was written down")
	}
	return f
}
