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
	in := unit.Micrometre
	if r.Spec.In != 0 {
		in = r.Spec.In
	}
	shown := func(micrometres float64) string {
		if math.IsNaN(micrometres) {
			return "–"
		}
		return unit.Show(micrometres, unit.Micrometre, in, 1)
	}
	at := func(micrometres float64) float64 { return unit.Convert(micrometres, unit.Micrometre, in) }
	limit := func(name string, is unit.Length) *chart.Limit {
		return &chart.Limit{Name: name + " " + shown(is.In(unit.Micrometre)), At: at(is.In(unit.Micrometre))}
	}
	low, high := r.Asked()
	s := chart.Strip{
		Title: fmt.Sprintf("Film thickness at %s, asked %s to %s. The table has the figures.", words.Count(len(r.Spots), "spot"), low, high), Unit: in.String(),
		Low: limit("least", r.Spec.Low), High: limit("greatest", r.Spec.High),
	}
	d := chart.Drawing{Head: []string{"Spot", "Readings", "Mean", "Least", "Greatest"}}
	for _, spot := range r.Spots {
		group := chart.Group{Name: spot.Place, Mean: at(spot.Mean)}
		for _, reading := range spot.Readings {
			group.Readings = append(group.Readings, at(reading))
		}
		s.Groups = append(s.Groups, group)
		d.Rows = append(d.Rows, []string{spot.Place, fmt.Sprint(len(spot.Readings)), shown(spot.Mean), shown(spot.Min), shown(spot.Max)})
	}
	d.SVG = s.SVG()
	w.draw("Rings are readings, filled where they lie outside what is asked; the bar is the mean of the spot.", d)
}

func (w *work) drawBalance(b facts.Balance) {
	in := unit.Millilitre
	if b.In != 0 {
		in = b.In
	}
	at := func(millilitres float64) float64 { return unit.Convert(millilitres, unit.Millilitre, in) }
	span := b.Reservoir.Span.In(unit.Millilitre)
	s := chart.Strip{
		Title: "Fluid in the reservoir above MIN, step by step. The table has the figures.", Unit: in.String(),
		Groups: []chart.Group{{Name: "at the first look", Readings: []float64{at(b.Start)}, Mean: math.NaN()}},
		Low:    &chart.Limit{Name: "MIN", At: 0}, High: &chart.Limit{Name: "MAX " + b.Shown(span), At: at(span)},
	}
	d := chart.Drawing{Head: []string{"Step", "Drawn", "Added", "Lowest above MIN", "Then above MIN"}, Rows: [][]string{{"at the first look", "–", "–", "–", b.Shown(b.Start)}}}
	for _, stand := range b.Stands {
		name := "looked at"
		if stand.Step.Corner != "" {
			name = string(stand.Step.Corner) + " bled"
		}
		s.Groups = append(s.Groups, chart.Group{Name: name, Readings: []float64{at(stand.Lowest), at(stand.After)}, Mean: math.NaN()})
		d.Rows = append(d.Rows, []string{name, asTyped(stand.Step.Drawn), asTyped(stand.Step.Added), b.Shown(stand.Lowest), b.Shown(stand.After)})
	}
	d.SVG = s.SVG()
	w.draw("The level in each step: its lowest, and then at its end; filled where it lies outside MIN to MAX. "+b.Shown(span)+" lie between the two, as stated.", d)
}

// asTyped is a volume as typed, or a dash for none.
func asTyped(v unit.Volume) string {
	if v.IsZero() {
		return "–"
	}
	return v.String()
}

// drawBake draws a bake and what each channel had of its schedule.
func (w *work) drawBake(b facts.Baked) {
	picture := chart.Bake{Title: "Bake " + string(w.line.Subject.Run()), Trace: b.Series, Probes: b.Probes, Result: b.Result, Name: func(part string) string { return w.name(journal.Subject(part)) }, In: w.stock.Units().Temperature}
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
