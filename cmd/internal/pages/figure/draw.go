package figure

import (
	"math"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

func (w *work) drawFilm(r film.Result) { w.draw(chart.FilmKey, chart.Film(r)) }

func (w *work) drawBalance(b facts.Balance) {
	in := unit.Millilitre
	if b.In != 0 {
		in = b.In
	}
	at := func(millilitres float64) float64 { return unit.Convert(millilitres, unit.Millilitre, in) }
	told := func(millilitres float64) string { return b.Writing.Number(b.Shown(millilitres)) }
	span := b.Reservoir.Span.In(unit.Millilitre)
	s := chart.Strip{Writing: b.Writing,
		Title: "Fluid in the reservoir above MIN, step by step. The table has the figures.", Unit: in.String(),
		Groups: []chart.Group{{Name: "at the first look", Readings: []float64{at(b.Start)}, Mean: math.NaN()}},
		Low:    &chart.Limit{Name: "MIN", At: 0}, High: &chart.Limit{Name: "MAX " + told(span), At: at(span)},
	}
	rows := [][]string{{"at the first look", "–", "–", "–", told(b.Start)}}
	for _, stand := range b.Stands {
		name := "looked at"
		if stand.Step.Corner != "" {
			name = string(stand.Step.Corner) + " bled"
		}
		s.Groups = append(s.Groups, chart.Group{Name: name, Readings: []float64{at(stand.Lowest), at(stand.After)}, Mean: math.NaN()})
		rows = append(rows, []string{name, asTyped(stand.Step.Drawn, b.Writing), asTyped(stand.Step.Added, b.Writing), told(stand.Lowest), told(stand.After)})
	}
	d := s.Draw()
	d.Head, d.Rows = []string{"Step", "Drawn", "Added", "Lowest above MIN", "Then above MIN"}, rows
	w.draw("The level in each step: its lowest, and then at its end; filled where it lies outside MIN to MAX. "+told(span)+" lie between the two, as stated.", d)
}

// asTyped is a volume as typed, or a dash for none.
func asTyped(v unit.Volume, in words.Writing) string {
	if v.IsZero() {
		return "–"
	}
	return v.Written(in)
}

// drawBake draws a bake and what each channel had of its schedule.
func (w *work) drawBake(b facts.Baked) {
	picture := chart.Bake{Title: "Bake " + string(w.line.Subject.Run()), Trace: b.Series, Probes: b.Probes, Result: b.Result, Name: func(part string) string { return w.name(journal.Subject(part)) }, In: w.stock.Units().Temperature, Writing: w.stock.Writing()}
	d, err := picture.Draw()
	if err != nil {
		w.say(Sentence{Text: err.Error(), State: route.Open})
		return
	}
	w.draw(picture.Key(), d)
}
