package figure

import (
	"fmt"
	"math"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

func (w *work) drawFilm(r film.Result) {
	asked := r.Spec.Low.String() + " to " + r.Spec.High.String()
	s := chart.Strip{
		Title: fmt.Sprintf("Film thickness at %s, asked %s. The table has the figures.", words.Count(len(r.Spots), "spot"), asked), Unit: "µm",
		Low:  &chart.Limit{Name: "least " + micrometres(r.Spec.Low.In(unit.Micrometre)), At: r.Spec.Low.In(unit.Micrometre)},
		High: &chart.Limit{Name: "greatest " + micrometres(r.Spec.High.In(unit.Micrometre)), At: r.Spec.High.In(unit.Micrometre)},
	}
	d := chart.Drawing{Head: []string{"Spot", "Readings", "Mean", "Least", "Greatest"}}
	for _, spot := range r.Spots {
		s.Groups = append(s.Groups, chart.Group{Name: spot.Place, Readings: spot.Readings, Mean: spot.Mean})
		d.Rows = append(d.Rows, []string{spot.Place, fmt.Sprint(len(spot.Readings)), micrometres(spot.Mean), micrometres(spot.Min), micrometres(spot.Max)})
	}
	d.SVG = s.SVG()
	w.draw("Rings are readings, filled where they lie outside what is asked; the bar is the mean of the spot.", d)
}

func (w *work) drawBalance(b facts.Balance) {
	span := b.Reservoir.Span.In(unit.Millilitre)
	s := chart.Strip{
		Title: "Fluid in the reservoir above MIN, step by step. The table has the figures.", Unit: "mL",
		Groups: []chart.Group{{Name: "at the first look", Readings: []float64{b.Start}, Mean: math.NaN()}},
		Low:    &chart.Limit{Name: "MIN", At: 0}, High: &chart.Limit{Name: "MAX " + millilitres(span), At: span},
	}
	d := chart.Drawing{Head: []string{"Step", "Drawn", "Added", "Lowest above MIN", "Then above MIN"}, Rows: [][]string{{"at the first look", "–", "–", "–", millilitres(b.Start)}}}
	for _, at := range b.Stands {
		name := "looked at"
		if at.Step.Corner != "" {
			name = string(at.Step.Corner) + " bled"
		}
		s.Groups = append(s.Groups, chart.Group{Name: name, Readings: []float64{at.Lowest, at.After}, Mean: math.NaN()})
		d.Rows = append(d.Rows, []string{name, asTyped(at.Step.Drawn), asTyped(at.Step.Added), millilitres(at.Lowest), millilitres(at.After)})
	}
	d.SVG = s.SVG()
	w.draw("The level of each step, lowest and then; filled where it lies outside MIN to MAX. "+millilitres(span)+" lie between the two, by the first top-up.", d)
}

func millilitres(v float64) string { return unit.Format(v, unit.Millilitre, 0) }

// typed is a volume as typed, or a dash for none.
func asTyped(v unit.Volume) string {
	if v.IsZero() {
		return "–"
	}
	return v.String()
}

// drawBake draws a bake and what each channel had of its schedule.
func (w *work) drawBake(b facts.Baked) {
	picture := chart.Bake{Title: "Bake " + string(w.line.Subject.Run()), Trace: b.Series, Probes: b.Probes, Result: b.Result, Name: func(part string) string { return w.name(journal.Subject(part)) }}
	d, err := picture.Draw()
	if err != nil {
		w.say(Sentence{Text: err.Error(), State: route.Open})
		return
	}
	title := "Thick: a probe on a part. Dashed: air. Nothing is drawn where nothing was logged."
	if b.Result != nil {
		title += " Strict and lenient are fractions of the schedule, which is met in total at 1; that is not a degree of cure."
	}
	w.draw(title, d)
}

func micrometres(v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return unit.Format(v, unit.Micrometre, 1)
}
