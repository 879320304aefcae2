package figure

import (
	"fmt"
	"math"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// film says what was read spot by spot.
func (w *work) film(d *journal.FilmReadings) {
	spec, err := w.filmSpec(d)
	survey := film.Survey{Base: d.Base}
	for _, s := range d.Spots {
		survey.Spots = append(survey.Spots, film.Spot{Place: s.Place, Readings: s.Readings})
	}
	var r film.Result
	if err == nil {
		r, err = film.Judge(survey, spec, film.DefaultLevel)
	}
	if err != nil {
		if !w.told(err.Error()) {
			w.say(Sentence{Text: "the readings cannot be judged: " + err.Error(), State: route.Open, Rests: "SSPC-PA 2"})
		}
		return
	}
	asked := spec.Low.String() + " to " + spec.High.String()
	if !w.told(r.Say()) {
		w.say(Sentence{Text: r.Say(), State: verdict(r.Pass), Rests: rests(asked, spec.Source+"; "+r.Source)})
	}
	w.say(Sentence{
		Text:  fmt.Sprintf("the mean of %s is %s, single readings from %s to %s", words.Count(len(r.Spots), "spot"), micrometres(r.Area), micrometres(r.Min), micrometres(r.Max)),
		Rests: rests(asked, spec.Source),
	})
	for _, warning := range r.Warnings {
		w.say(Sentence{Text: warning, Rests: r.Source})
	}
	w.drawFilm(r, asked)
}

func verdict(pass bool) route.State {
	if pass {
		return route.Met
	}
	return route.Broken
}

func (w *work) drawFilm(r film.Result, asked string) {
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

// filmSpec returns the range to hold the readings against: the one written
// with them, else the powder's, else the usual one.
func (w *work) filmSpec(d *journal.FilmReadings) (film.Spec, error) {
	if !d.Low.IsZero() && !d.High.IsZero() {
		return film.Spec{Low: d.Low, High: d.High, Source: "as written with the readings"}, nil
	}
	if lot := w.lotOn(w.line.Subject); lot != nil && !lot.FilmLow.IsZero() && !lot.FilmHigh.IsZero() {
		return film.Spec{Low: lot.FilmLow, High: lot.FilmHigh, Source: "data sheet of lot " + string(lot.Lot)}, nil
	}
	return film.DefaultSpec()
}

// part finds a part by its subject; nil if nothing is written about it.
func (w *work) part(s journal.Subject) *record.Part {
	j := w.shop.Job(s.Job())
	if j == nil {
		return nil
	}
	for _, c := range j.Corners {
		for _, p := range c.Parts {
			if p.Subject == s {
				return p
			}
		}
	}
	return nil
}

// lotOn returns the powder that went on a part last before the entry, or nil.
func (w *work) lotOn(s journal.Subject) (lot *journal.PowderLot) {
	p := w.part(s)
	if p == nil {
		return nil
	}
	for _, l := range p.Timeline() {
		if c, ok := l.Effect().(*journal.Coating); ok && !later(l.ID, w.line.ID) {
			lot = stated(w.shop.Lots, c.Lot)
		}
	}
	return lot
}

// dew says how far the metal was above the dew point.
func (w *work) dew(d *journal.Coating) {
	if d.Air.IsZero() && d.Humidity.IsZero() && d.Metal.IsZero() {
		return // the hold point says that nothing was read
	}
	r, err := dew.Judge(d.Air, d.Humidity, d.Metal, unit.TemperatureDifference{})
	switch {
	case err != nil:
		w.say(Sentence{Text: "the dew point cannot be worked out: " + err.Error(), State: route.Open, Rests: "Magnus formula, Alduchov and Eskridge 1996"})
		return
	case !w.told(r.Say()):
		w.say(Sentence{Text: r.Say(), State: verdict(r.Pass), Rests: rests(fmt.Sprintf("metal at least %g K above the dew point", r.Wanted), r.WantedSource)})
	}
	for _, warning := range r.Warnings {
		w.say(Sentence{Text: warning, Rests: r.Formula})
	}
}

// soak says how hot the metal was, which the oven alone does not show.
func (w *work) soak(d *journal.Soaking) {
	const source = "common practice, no source"
	if d.Metal.IsZero() {
		w.say(Sentence{Text: fmt.Sprintf("%s at %s by the oven; the metal was not measured, and a heavy casting takes that long to get there", d.Held, d.Set), Rests: source})
		return
	}
	text := fmt.Sprintf("the metal was at %s for %s", d.Metal, d.Held)
	switch under := d.Set.In(unit.Celsius) - d.Metal.In(unit.Celsius); {
	case under > 0.05:
		text += fmt.Sprintf(", %.1f K below the oven", under)
	case under < -0.05:
		text += fmt.Sprintf(", %.1f K above what the oven was set to: check both", -under)
	}
	if above := bake.DefaultHeatLimit().Above; d.Metal.In(unit.Celsius) > above.Value {
		text += fmt.Sprintf("; all of it counts as heat above %.0f °C", above.Value)
	}
	w.say(Sentence{Text: text, Rests: source})
}

// plugs counts what went in, came out and is still in, over all coats.
func (w *work) plugs() {
	p := w.part(w.line.Subject)
	if p == nil {
		return
	}
	in, out := 0, 0
	for _, l := range p.Timeline() {
		switch d := l.Effect().(type) {
		case *journal.Masking:
			in += d.Plugs
		case *journal.Unmasking:
			out += d.Plugs
		}
	}
	s := Sentence{Safety: true, Rests: rests("as many plugs out as in, over all coats", "common practice, no source")}
	counted := words.Count(in, "plug") + fmt.Sprintf(" in, %d out", out)
	switch _, unmasking := w.line.Effect().(*journal.Unmasking); {
	case in == out && in > 0 && !w.told(fmt.Sprintf("%d plugs in, %d counted out", in, out)):
		s.Text = counted + ": none is left in"
	case in > out && unmasking:
		s.Text, s.State = fmt.Sprintf("%s: %d still in; find it before the part goes on", counted, in-out), route.Broken
	case in > out:
		s.Text, s.State = fmt.Sprintf("%s: %d still in", counted, in-out), route.Open
	case in < out:
		s.Text, s.State = fmt.Sprintf("%s: %d more than went in, so one of the counts is wrong", counted, out-in), route.Broken
	default:
		return
	}
	w.say(s)
}

func micrometres(v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return unit.Format(v, unit.Micrometre, 1)
}
