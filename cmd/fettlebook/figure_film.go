package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

type figureFilm struct {
	Spots   []string   `arg:"" name:"spot" help:"A spot and its readings, such as \"flat: 82 µm 79 µm 84 µm\"."`
	Low     entered    `help:"The least thickness specified (default: 60 µm, shop default)." placeholder:"\"60 µm\""`
	High    entered    `help:"The greatest thickness specified (default: 100 µm, shop default)." placeholder:"\"100 µm\""`
	Source  string     `help:"Where the specification is printed." placeholder:"\"data sheet\""`
	Level   film.Level `help:"The restriction level of SSPC-PA 2, 1 to 5 (default: 3)." placeholder:"3"`
	Base    entered    `help:"The mean reading on the bare blasted metal, subtracted from each reading." placeholder:"\"8 µm\""`
	Nominal entered    `help:"Judge by the 80/20 rule of ISO 19840 against this thickness." placeholder:"\"80 µm\""`
	Most    entered    `default:"3" help:"How many times the nominal thickness a reading may reach; 0 sets no limit." placeholder:"3"`
	JSON    bool       `name:"json" help:"Print JSON."`
}

// Run prints the verdict on a film.
func (c *figureFilm) Run(t *terminal) error { return t.figure("film", c.JSON, c.work) }

// work judges the spots, and all readings by a nominal thickness if there is one. With that
// alone the spots are left out.
func (c *figureFilm) work(in *intake) (s sheet.Sheet, err error) {
	var survey film.Survey
	var all []unit.Length
	for _, text := range c.Spots {
		spot := in.spot(text)
		survey.Spots = append(survey.Spots, spot)
		all = append(all, spot.Readings...)
	}
	survey.Base = quantity(in, "base", c.Base, unit.Micrometre, 1)
	spec := film.Spec{Low: quantity(in, "low", c.Low, unit.Micrometre, 1), High: quantity(in, "high", c.High, unit.Micrometre, 1), Source: c.Source}
	nominal := film.Nominal{Thickness: quantity(in, "nominal", c.Nominal, unit.Micrometre, 1)}
	if in.err != nil {
		return s, in.err
	}
	base := 0.0
	if !survey.Base.IsZero() {
		base = survey.Base.In(unit.Micrometre)
	}
	s.Put("base_um", base)
	none := spec.Low.IsZero() && spec.High.IsZero()
	if !none || nominal.Thickness.IsZero() {
		if none && spec.Source != "" {
			return s, fmt.Errorf("--source %s: a source without figures says nothing: write the least and the greatest thickness that it gives", spec.Source)
		}
		if none {
			if spec, err = film.DefaultSpec(); err != nil {
				return s, err
			}
		}
		r, err := film.Judge(survey, spec, c.Level)
		if err != nil {
			return s, err
		}
		s.Under("range", r.Sheet())
	}
	if !nominal.Thickness.IsZero() {
		nominal.Most = in.number("most", c.Most)
		r, err := film.JudgeNominal(all, survey.Base, nominal)
		if err != nil {
			return s, err
		}
		s.Under("nominal", r.Sheet())
	}
	return s, nil
}

// spot reads a place and its readings.
func (in *intake) spot(text string) film.Spot {
	var s film.Spot
	place, readings, named := strings.Cut(text, ":")
	if !named {
		place, readings = "", text
	}
	s.Place = strings.TrimSpace(place)
	for _, one := range eachReading(readings) {
		q, err := unit.Parse[unit.Length](one)
		if err != nil {
			in.fail(fmt.Errorf("spot %s, reading %w", words.Quoted(s.Place), err))
		}
		s.Readings = append(s.Readings, q)
	}
	in.typed("spot "+s.Place, strings.TrimSpace(readings))
	return s
}

// eachReading cuts "82 µm 79µm, 84 µm" into its readings: each ends with its unit, and a
// comma or semicolon may stand after it.
func eachReading(text string) (each []string) {
	held := ""
	for _, word := range strings.Fields(text) {
		bare := strings.TrimRight(word, ",;")
		if strings.Trim(bare, "+-−.,0123456789") == "" && held == "" {
			held = word
			continue
		}
		each = append(each, strings.TrimSpace(held+" "+bare))
		held = ""
	}
	if held != "" {
		each = append(each, held)
	}
	return each
}
