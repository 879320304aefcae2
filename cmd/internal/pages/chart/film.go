package chart

import (
	"fmt"
	"math"

	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// FilmKey says how the picture of a film is read.
const FilmKey = "Rings are readings, filled where they lie outside what is asked; the bar is the mean of the spot."

// Film draws the readings of a film, spot by spot, against what was asked.
func Film(r film.Result) Drawing {
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
	limit := func(name string, is unit.Length) *Limit {
		return &Limit{Name: name + " " + shown(is.In(unit.Micrometre)), At: at(is.In(unit.Micrometre))}
	}
	low, high := r.Asked()
	s := Strip{
		Title: fmt.Sprintf("Film thickness at %s, asked %s to %s. The table has the figures.", words.Count(len(r.Spots), "spot"), low, high), Unit: in.String(),
		Low: limit("least", r.Spec.Low), High: limit("greatest", r.Spec.High),
	}
	d := Drawing{Head: []string{"Spot", "Readings", "Mean", "Least", "Greatest"}}
	for _, spot := range r.Spots {
		group := Group{Name: spot.Place, Mean: at(spot.Mean)}
		for _, reading := range spot.Readings {
			group.Readings = append(group.Readings, at(reading))
		}
		s.Groups = append(s.Groups, group)
		d.Rows = append(d.Rows, []string{spot.Place, fmt.Sprint(len(spot.Readings)), shown(spot.Mean), shown(spot.Min), shown(spot.Max)})
	}
	d.Picture = s.Picture()
	d.SVG = d.Picture.SVG()
	return d
}
