package chart

import (
	"fmt"

	"fettlebook/journal/trade/film"
	"fettlebook/journal/words"
)

// FilmKey says how the picture of a film is read.
const FilmKey = "Rings are readings, filled where they lie outside what is asked; the bar is the mean of the spot."

// Film draws the readings of a film, spot by spot, against what was asked.
func Film(r film.Result) Drawing {
	low, high := r.Asked()
	s := filmStrip(r)
	s.Title = fmt.Sprintf("Film thickness at %s, asked %s to %s. The table has the figures.", words.Count(len(r.Spots), "spot"), s.Writing.Number(low), s.Writing.Number(high))
	d := Drawing{Head: []string{"Spot", "Readings", "Mean", "Least", "Greatest"}}
	for _, spot := range r.Spots {
		group := Group{Name: spot.Place, Mean: inFilm(r, spot.Mean)}
		for _, reading := range spot.Readings {
			group.Readings = append(group.Readings, inFilm(r, reading))
		}
		s.Groups = append(s.Groups, group)
		d.Rows = append(d.Rows, []string{spot.Place, fmt.Sprint(len(spot.Readings)), filmShown(r, spot.Mean), filmShown(r, spot.Min), filmShown(r, spot.Max)})
	}
	return d.of(s)
}
