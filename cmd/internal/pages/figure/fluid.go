package figure

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/bleed"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/trade/vin"
	"fettlebook/journal/words"
)

// vin says whether a VIN's check digit fits, and what may have been meant.
func (w *work) vin(text string) {
	if strings.TrimSpace(text) == "" {
		return
	}
	const source = "49 CFR 565.15 for vehicles built for North America; ISO 3779 for the characters"
	r := vin.Check(text)
	if r.Note == "" {
		w.say(Sentence{Text: fmt.Sprintf("the VIN's check digit %c fits", r.Digit), Rests: source})
		return
	}
	note := r.Note
	if len(r.Suggestions) > 0 {
		note += ". It may be " + r.Meant()
	}
	w.say(Sentence{Text: note, Rests: source})
}

// container says what a fluid is, and whether it may still be used.
func (w *work) container(id journal.FluidID) {
	if is := stated(w.shop.Fluids, id); is != nil {
		w.useBy(fmt.Sprintf("%s from %s", is.Grade, id), is.UseBy, true)
	}
}

// lot says whether a powder may still be used.
func (w *work) lot(id journal.LotID) {
	if is := stated(w.shop.Lots, id); is != nil {
		w.useBy("powder lot "+string(id), is.UseBy, false)
	}
}

// useBy compares a last day of use with the day of the entry.
func (w *work) useBy(what string, last journal.Date, safety bool) {
	at := w.at()
	until, err := time.ParseInLocation(time.DateOnly, string(last), at.Location())
	if err != nil {
		return
	}
	s := Sentence{Safety: safety, Rests: "The date on the container"}
	days := int(math.Round(until.Sub(time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, at.Location())).Hours() / 24))
	switch {
	case days < 0:
		s.Text, s.State = fmt.Sprintf("%s was to be used by %s, %s ago: take a fresh one", what, last, words.Count(-days, "day")), route.Broken
	case days == 0:
		s.Text = fmt.Sprintf("%s is to be used by %s, which is today", what, last)
	default:
		s.Text = fmt.Sprintf("%s is to be used by %s, in %s", what, last, words.Count(days, "day"))
	}
	w.say(s)
}

// boiling says what boiling points the grade must have.
func (w *work) boiling(d *journal.FluidContainer) {
	if b, err := bleed.BoilingOf(bleed.Grade(d.Grade)); err == nil {
		w.say(Sentence{Text: b.Say(), Safety: true, Rests: b.Source + "; the grade that the maker names comes first"})
	}
}

// balance follows the reservoir of the job from the first look at it on, with
// what every corner drew and what was added. How much lies between MIN and MAX
// is worked out from the first top-up that raised the level.
func (w *work) balance() {
	j := w.shop.Job(w.line.Subject.Job())
	if j == nil {
		return
	}
	var r bleed.Reservoir
	var start bleed.Level
	var steps []bleed.Step
	for _, l := range j.Timeline() {
		switch d := l.Effect().(type) {
		case *journal.Reservoir:
			if rise := d.After.In(unit.Percent) - d.Before.In(unit.Percent); r.Span.IsZero() && !d.Added.IsZero() && rise > 0 {
				// A quantity is made from its text, in whole millilitres.
				r.Span, _ = unit.Parse[unit.Volume](unit.Format(d.Added.In(unit.Millilitre)*100/rise, unit.Millilitre, 0))
			}
			if start.Share.IsZero() {
				start.Share = d.After
				continue
			}
			steps = append(steps, bleed.Step{Added: d.Added, Seen: bleed.Level{Share: d.After}})
		case *journal.Bleed:
			if !start.Share.IsZero() {
				steps = append(steps, bleed.Step{Corner: bleed.Corner(l.Subject.Corner()), Drawn: d.Drawn})
			}
		}
	}
	if start.Share.IsZero() || r.Span.IsZero() || len(steps) == 0 {
		return
	}
	b, err := bleed.BalanceOf(r, start, steps)
	if err != nil {
		return // a part on its own has no reservoir
	}
	const limit = "never below MIN, looked at between every two corners"
	if !w.told(b.Say()) {
		w.say(Sentence{Text: "since the first look at the reservoir: " + b.Say(), Safety: true, Rests: rests(limit, b.Source)})
	}
	for _, warning := range b.Warnings {
		if !w.told(warning) {
			w.say(Sentence{Text: warning, Safety: true, Rests: rests(limit, b.Source)})
		}
	}
	w.drawBalance(b, r)
}

func (w *work) drawBalance(b bleed.Balance, r bleed.Reservoir) {
	span := r.Span.In(unit.Millilitre)
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
		d.Rows = append(d.Rows, []string{name, typed(at.Step.Drawn), typed(at.Step.Added), millilitres(at.Lowest), millilitres(at.After)})
	}
	d.SVG = s.SVG()
	w.draw("The level of each step, lowest and then; filled where it lies outside MIN to MAX. "+millilitres(span)+" lie between the two, by the first top-up.", d)
}

func millilitres(v float64) string { return unit.Format(v, unit.Millilitre, 0) }

// typed is a volume as typed, or a dash for none.
func typed(v unit.Volume) string {
	if v.IsZero() {
		return "–"
	}
	return v.String()
}
