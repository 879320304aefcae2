package chart

import (
	"cmp"
	"fmt"
	"math"

	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// FilmsKey says how the picture of several films is read.
const FilmsKey = "Rings are readings, filled where they lie outside what is asked; the bar is the mean of the part."

// Coat is the film of a part.
type Coat struct {
	Part string
	Film film.Result
}

// Films draws the readings of several parts, all of which are asked for the same
// range, each in a row.
func Films(coats []Coat) Drawing {
	if len(coats) == 0 {
		return Drawing{}
	}
	of := coats[0].Film
	s := filmStrip(of)
	low, high := of.Asked()
	s.Title = fmt.Sprintf("Film thickness of %s, asked %s to %s. The table has the figures.", words.Count(len(coats), "part"), s.Writing.Number(low), s.Writing.Number(high))
	d := Drawing{Head: []string{"Part", "Readings", "Mean", "Least", "Greatest"}}
	for _, c := range coats {
		group := Group{Name: c.Part, Mean: inFilm(of, c.Film.Area)}
		least, greatest := math.Inf(1), math.Inf(-1)
		for _, spot := range c.Film.Spots {
			for _, reading := range spot.Readings {
				group.Readings = append(group.Readings, inFilm(of, reading))
			}
			least, greatest = math.Min(least, spot.Min), math.Max(greatest, spot.Max)
		}
		s.Groups = append(s.Groups, group)
		d.Rows = append(d.Rows, []string{c.Part, fmt.Sprint(len(group.Readings)), filmShown(of, c.Film.Area), filmShown(of, least), filmShown(of, greatest)})
	}
	return d.of(s)
}

// filmStrip is a picture of films with the limits of one, without readings.
func filmStrip(r film.Result) Strip {
	limit := func(name, asked string, is unit.Length) *Limit {
		return &Limit{Name: name + " " + r.Spec.Writing.Number(cmp.Or(asked, "–")), At: inFilm(r, is.In(unit.Micrometre))}
	}
	low, high := r.Asked()
	return Strip{Writing: r.Spec.Writing, Unit: filmUnit(r).String(), Low: limit("least", low, r.Spec.Low), High: limit("greatest", high, r.Spec.High)}
}

func filmUnit(r film.Result) unit.LengthUnit {
	if r.Spec.In != 0 {
		return r.Spec.In
	}
	return unit.Micrometre
}

// inFilm is a thickness in the unit in which a film is shown.
func inFilm(r film.Result, micrometres float64) float64 {
	return unit.Convert(micrometres, unit.Micrometre, filmUnit(r))
}

func filmShown(r film.Result, micrometres float64) string {
	if !finite(micrometres) {
		return "–"
	}
	return r.Spec.Writing.Number(unit.Show(micrometres, unit.Micrometre, filmUnit(r), 1))
}
