package facts

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/film"
)

// film says what was read spot by spot.
func (w *entry) film(d *journal.FilmReadings) {
	r, err := w.judgeFilm(d, w.lotOn(w.line.Subject))
	if err != nil {
		w.state(Statement{Quantity: FilmMean, Met: NotKnown, Sure: NotProven, Because: CannotJudge, Fault: err, Source: "SSPC-PA 2"})
		return
	}
	s := filmStatement(r)
	asked := s.Limit
	s.Source += "; " + r.Source
	w.state(s)
	w.state(Statement{
		Quantity: FilmRange, Value: s.Value, Unit: s.Unit, Limit: asked, Source: r.Spec.Source, Sure: Measured,
		With: []Figure{with("spots", fmt.Sprint(len(r.Spots))), shown("least", r.Shown(r.Min)), shown("greatest", r.Shown(r.Max))},
	})
	w.warn(FilmRange, r.Warnings, r.Source, false)
	w.Film = &r
}

// judgeFilm holds readings against the range that was written with them, else
// the powder's, else the usual one.
func (s *Stock) judgeFilm(d *journal.FilmReadings, lot *journal.PowderLot) (film.Result, error) {
	spec, err := film.DefaultSpec()
	switch {
	case !d.Low.IsZero() && !d.High.IsZero():
		spec, err = film.Spec{Low: d.Low, High: d.High, Source: "as written with the readings"}, nil
	case lot != nil && !lot.FilmLow.IsZero() && !lot.FilmHigh.IsZero():
		spec, err = film.Spec{Low: lot.FilmLow, High: lot.FilmHigh, Source: "data sheet of lot " + string(lot.Lot)}, nil
	}
	if err != nil {
		return film.Result{}, err
	}
	spec.In, spec.Writing = s.Units().Film, s.Writing()
	survey := film.Survey{Base: d.Base}
	for _, at := range d.Spots {
		survey.Spots = append(survey.Spots, film.Spot{Place: at.Place, Readings: at.Readings})
	}
	return film.Judge(survey, spec, film.DefaultLevel)
}

// dew says how far the metal was above the dew point.
func (w *entry) dew(d *journal.Coating) {
	if d.Air.IsZero() && d.Humidity.IsZero() && d.Metal.IsZero() {
		return // the hold point says that nothing was read
	}
	r, err := dew.Judge(dew.Reading{Air: d.Air, Humidity: d.Humidity, Metal: d.Metal, Units: w.Units()})
	if err != nil {
		w.state(Statement{Quantity: DewMargin, Of: fmt.Sprint(d.Coat), Met: NotKnown, Sure: NotProven, Because: CannotJudge, Fault: err, Source: "Magnus formula, Alduchov and Eskridge 1996"})
		return
	}
	w.state(dewStatement(d.Coat, r))
	w.warn(DewMargin, r.Warnings, r.Formula, false)
}

// loaded says, while the door is still open, what the powder asks for.
func (w *entry) loaded(d *journal.BakeStart) {
	for _, b := range w.batches(d.Parts) {
		if len(b.schedule.Points()) > 0 {
			w.state(Statement{Quantity: ScheduleAsked, Of: string(b.lot), Value: b.schedule.Say(w.Units().Temperature), Source: "Data sheet of the powder lot"})
		}
	}
}

// batch is the parts of a bake with the powder of one lot on them.
type batch struct {
	lot      journal.LotID
	schedule bake.Schedule // empty if there is none that can be used; the hold point says why
	parts    []journal.Subject
}

// batches sorts parts by the powder that went on them last.
func (w *entry) batches(parts []journal.Subject) (list []*batch) {
	for _, part := range parts {
		lot := w.lotOn(part)
		if lot == nil {
			continue
		}
		i := slices.IndexFunc(list, func(b *batch) bool { return b.lot == lot.Lot })
		if i < 0 {
			i = len(list)
			b := &batch{lot: lot.Lot}
			if s, err := scheduleOf(lot); err == nil {
				b.schedule = s
			}
			list = append(list, b)
		}
		list[i].parts = append(list[i].parts, part)
	}
	return list
}

// bake says what each part had of its powder's schedule. Without a trace of
// its own the entry shows the longest of its run.
func (w *entry) bake(trace *journal.ProbeTrace) {
	run := w.shop.Run(w.line.Subject.Run())
	if run == nil {
		return
	}
	probes, stands, longest := w.logged(run)
	by := make(map[journal.Subject]shownBy)
	for _, part := range run.Parts {
		by[part] = w.shownBy(part, probes, stands)
		if by[part].Because != "" {
			w.state(Statement{About: part, Quantity: BakeSeen, Value: string(by[part].On), Met: NotKnown, Sure: NotProven, Because: by[part].Because, Limit: Limit{Words: "a probe on the part, or on one of its kind that is as heavy or heavier"}, Source: practice})
		}
	}
	if trace == nil {
		trace = longest
	}
	if trace == nil {
		return
	}
	series, err := seriesOf(trace)
	if err != nil {
		w.state(Statement{Quantity: BakeSeen, Met: NotKnown, Sure: NotProven, Because: CannotJudge, Fault: err})
		return
	}
	w.Bake = &Baked{Series: series, Probes: logged(probes, trace)}
	w.Bake.Result = w.judgeBake(run, series, w.Bake.Probes, by)
}

// logged gathers the probes that count in a run, for which parts they stand,
// and its longest trace.
func (w *entry) logged(run *record.Run) (probes []bake.Probe, stands []journal.StandIn, trace *journal.ProbeTrace) {
	for _, e := range w.events(run.Lines) {
		switch d := e.Data.(type) {
		case *journal.BakeStart:
			probes, stands = placed(probes, d.Probes), append(stands, d.StandIns...)
		case *journal.ProbeTrace:
			if trace == nil || strings.Count(string(d.Seconds), " ") > strings.Count(string(trace.Seconds), " ") {
				trace = d
			}
		}
	}
	return probes, stands, trace
}

// placed adds probes; one that is named again is where it was put last.
func placed(list []bake.Probe, more []journal.Probe) []bake.Probe {
	for _, p := range more {
		list = slices.DeleteFunc(list, func(q bake.Probe) bool { return q.Channel == p.Channel })
		list = append(list, bake.Probe{Channel: p.Channel, Place: p.Place, On: string(p.On)})
	}
	return list
}

// judgeBake says what each part had of the schedule of its powder, as far as a
// probe shows it. It returns what a table and a chart show: each channel by
// the schedule of its own part, the rest and the levels by the first.
func (w *entry) judgeBake(run *record.Run, series *bake.Series, probes []bake.Probe, by map[journal.Subject]shownBy) (shown *bake.Result) {
	for _, b := range w.batches(run.Parts) {
		lot, _ := w.Lot(b.lot)
		r, err := bake.Judge(series, b.schedule, w.rulesOf(lot, b.schedule), probes)
		if err != nil {
			continue // without a schedule nothing can be said; the hold point says why
		}
		for _, part := range b.parts {
			if s := by[part]; s.Because == "" && slices.ContainsFunc(probes, func(p bake.Probe) bool { return p.On == string(s.On) }) {
				w.had(part, s, r.On(string(s.On)), b.lot)
			}
		}
		if shown == nil {
			shown = &r
			continue
		}
		for i, c := range r.Channels {
			if slices.Contains(b.parts, journal.Subject(c.On)) {
				shown.Channels[i] = c
			}
		}
	}
	return shown
}

// had says what the probes on one part showed, or those on the one that stands
// for it.
func (w *entry) had(part journal.Subject, by shownBy, v bake.Verdict, lot journal.LotID) {
	s := Statement{
		About: part, Quantity: BakeSeen, Value: bake.Hundredths(v.Strict), Limit: Limit{Words: "a schedule fraction of at least 1 on the strict reading"}, Sure: Measured,
		With: append([]Figure{with("verdict", string(v.Word)), with("lenient", bake.Hundredths(v.Lenient))}, by.figures(v)...), Source: "data sheet of lot " + string(lot), Result: clause(v.Say),
	}
	w.state(s)
	if by.Stands {
		return // its warnings stand at its own part
	}
	for _, warning := range v.Warnings {
		w.state(Statement{About: part, Quantity: BakeSeen, Because: Warned, Sure: Reckoned, Result: clause(warning.Says)})
	}
}
