package facts

import (
	"fmt"
	"math"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/unit"
)

func (w *Job) castingFactors(r parts.Row, p *partWork, c coatOn) {
	r.Put(parts.Pattern, parts.Text(p.part.Pattern))
	r.Put(parts.What, parts.Text(p.base))
	r.Put(parts.Metal, parts.Text(p.part.Metal))
	r.Put(parts.Corner, parts.Text(p.part.Corner.Corner))
	r.Put(parts.Source, parts.Text(p.source()))
	baked, heat := 0, heatSum{}
	for _, life := range w.until(p, c.powder.Line) {
		for _, o := range life.coatsOn() {
			if len(o.bakes) > 0 {
				baked++
			}
		}
		heat.join(w.heatOf(life.part.Subject, life.events))
	}
	r.Put(parts.CoatsBefore, parts.Num(float64(baked)))
	r.Put(parts.HeatMinutes, parts.Num(math.Round(heat.minutes)))
}

// Where parts come from.
const (
	offTheVehicle = "off the vehicle"
	broughtAlong  = "brought by the customer"
	putInInstead  = "put in for another"
)

func (p *partWork) source() string {
	_, removed := first[journal.Removal](p.events, nil)
	switch {
	case p.standsIn():
		return putInInstead
	case removed == nil:
		return ""
	case removed.Supplied:
		return broughtAlong
	}
	return offTheVehicle
}

// until returns the part and its casting's other lives, each with what was
// done to it before a moment.
func (w *Job) until(p *partWork, moment *record.Line) (lives []*partWork) {
	own := *p
	lives = append(w.otherLives(p), &own)
	for _, o := range lives {
		o.events = slices.DeleteFunc(slices.Clone(o.events), func(e Event) bool { return !Before(e.Line, moment) })
	}
	return lives
}

// otherLives are the parts of other jobs that are the same casting.
func (w *Job) otherLives(p *partWork) (lives []*partWork) {
	if p.part.Casting == nil {
		return nil
	}
	for _, other := range p.part.Casting.Parts {
		if other != p.part {
			lives = append(lives, &partWork{part: other, base: p.base, corner: p.corner, events: w.eventsOf(other)})
		}
	}
	return lives
}

func (w *Job) prepFactors(r parts.Row, c coatOn) {
	bare := c.before()
	if _, d := last[journal.Degreasing](bare); d != nil {
		r.Put(parts.Degreaser, parts.Text(d.Agent))
	}
	if e, blast := last[journal.Blasting](bare); e != nil {
		r.Put(parts.BlastMedia, parts.Text(blast.Media))
		r.Put(parts.BlastBar, measured(blast.Pressure, unit.Bar))
		if is := w.stock.Serviced(blast.Cabinet, e.Line); is.Kind == journal.MediaChanged && is.Done != nil {
			r.Put(parts.MediaHours, parts.Num(math.Max(0, math.Round(w.age(is, e.Line).Hours()))))
		}
		r.Put(parts.BlastToPowder, c.since(e))
	}
	soaks := slices.DeleteFunc(bare, func(e Event) bool { return !is[journal.Soaking](e) })
	if len(soaks) == 0 {
		return
	}
	minutes, hottest := 0.0, math.Inf(-1)
	for _, e := range soaks {
		s := e.Data.(*journal.Soaking)
		minutes += s.Held.In(unit.Minute)
		if !s.Metal.IsZero() {
			hottest = math.Max(hottest, s.Metal.In(unit.Celsius))
		}
	}
	reach, _ := c.reach()
	r.Put(parts.SoakMinutes, parts.Num(minutes))
	r.Put(parts.SoakMetal, parts.Num(hottest))
	r.Put(parts.SoakOverBake, parts.Num(rounded(hottest-reach)))
	r.Put(parts.SoakToPowder, c.since(&soaks[len(soaks)-1]))
}

// before is what was done for the coat before its powder.
func (c coatOn) before() (list []Event) {
	for _, e := range c.events {
		if e.before(c.powder) {
			list = append(list, e)
		}
	}
	return list
}

// since is how many minutes passed from some work to the first powder after it.
func (c coatOn) since(from *Event) parts.Value {
	if c.powder.before(from) {
		return parts.Value{}
	}
	passed, _ := elapsed(from.Line, c.powder.Line)
	return parts.Num(math.Max(0, math.Round(passed.Minutes())))
}

// age is how long ago a service was at the moment of a use: by the clock where
// it was written on the day itself, else from the beginning of that day.
func (w *Job) age(is ServiceState, use *record.Line) time.Duration {
	at := time.Time(use.Clocks.Device)
	if is.Done.On == "" {
		return at.Sub(time.Time(is.Line.Clocks.Device))
	}
	return at.Sub(DueOn(is.On, at).On)
}

func (w *Job) powderFactors(r parts.Row, c coatOn) {
	d, line := c.sprayed, c.powder.Line
	at := time.Time(line.Clocks.Device)
	r.Put(parts.PowderLot, parts.Text(d.Lot))
	if lot, _ := w.stock.Lot(d.Lot); lot != nil {
		r.Put(parts.Chemistry, parts.Text(lot.Chemistry))
		r.Put(parts.Colour, parts.Text(lot.Colour))
		if opened := DueOn(lot.Opened, at); !opened.IsZero() && opened.Days <= 0 {
			r.Put(parts.OpenedDays, parts.Num(float64(-opened.Days)))
		}
	}
	r.Put(parts.Reclaimed, measured(d.Reclaimed, unit.Percent))
	r.Put(parts.Air, measured(d.Air, unit.Celsius))
	r.Put(parts.Humidity, measured(d.Humidity, unit.Percent))
	var dew Group
	if f := c.dew(&dew, w.stock.Units()); f.Known {
		r.Put(parts.DewMargin, parts.Num(rounded(f.Margin)))
	}
	r.Put(parts.FilterDays, w.airDays(line))
	r.Put(parts.Charge, measured(d.Charge, unit.Kilovolt))
	r.Put(parts.Earth, measured(d.Earth, unit.Megohm))
	r.Put(parts.Person, parts.Text(w.shop.Initials(line.By)))
	r.Put(parts.Weekday, parts.Text(at.Weekday().String()))
	hung := slices.Clone(d.Positions)
	for _, b := range c.bakes {
		hung = append(hung, b.start.Data.(*journal.BakeStart).Positions...)
	}
	for _, at := range hung {
		if at.Part == c.part.Subject {
			r.Put(parts.Rack, known(r.Get(parts.Rack), parts.Text(at.Rack)))
			r.Put(parts.Hook, known(r.Get(parts.Hook), parts.Text(at.Hook)))
		}
	}
}

// known returns the first value that is known.
func known(a, b parts.Value) parts.Value {
	if a.Known() {
		return a
	}
	return b
}

// airDays is how long ago a filter or dryer of the shop's air was seen to, the
// one that waited longest.
func (w *Job) airDays(use *record.Line) (days parts.Value) {
	for _, t := range w.shop.Tools {
		is := w.stock.Serviced(t.ID, use)
		if is.Done == nil || is.Kind != journal.FilterChanged && is.Kind != journal.DryerServiced {
			continue
		}
		since := parts.Num(math.Floor(w.age(is, use).Hours() / 24))
		if since.Number() >= 0 && (!days.Known() || since.Number() > days.Number()) {
			days = since
		}
	}
	return days
}

// CardEdition names an edition of a route card. What names none is the first.
func CardEdition(card journal.RouteID, edition int) string {
	return fmt.Sprintf("%s %d", card, max(1, edition))
}

func (w *Job) bakeFactors(r parts.Row, c coatOn) {
	if by := w.job.Stated; by != nil && by.Route != "" {
		r.Put(parts.CardEdition, parts.Text(CardEdition(by.Route, by.Edition)))
	}
	if len(c.bakes) > 0 {
		b := c.bakes[0]
		start := b.start.Data.(*journal.BakeStart)
		r.Put(parts.Bake, parts.Text(b.start.Line.Subject.Run()))
		r.Put(parts.Oven, parts.Text(start.Oven))
		for _, at := range start.Positions {
			if at.Part == c.part.Subject {
				r.Put(parts.Place, parts.Text(at.Place))
			}
		}
		hottest := math.Inf(-1)
		for _, l := range b.logs {
			if peak, ok := l.peak(c.part.Subject, b.probes); ok {
				hottest = math.Max(hottest, peak)
			}
		}
		r.Put(parts.BakePeak, parts.Num(rounded(hottest)))
		var cure Group
		if f := w.cure(c.partWork, &cure); f.Baked && f.Verdict != string(bake.NotProven) {
			r.Put(parts.Schedule, parts.Num(math.Round(f.Strict*100)/100))
		}
	}
	if result, ok := w.filmOf(c); ok {
		r.Put(parts.Film, parts.Num(rounded(result.Area)))
	}
}

// filmOf judges the last film readings of a coat.
func (w *Job) filmOf(c coatOn) (result film.Result, ok bool) {
	e, d := last[journal.FilmReadings](c.events)
	if e == nil {
		return result, false
	}
	lot, _ := w.stock.Lot(c.sprayed.Lot)
	result, err := w.stock.judgeFilm(d, lot)
	return result, err == nil
}

// measured is a quantity in the table's unit; absent if nobody read it.
func measured[D unit.Dimension](q unit.Of[D], in unit.Unit[D]) parts.Value {
	if q.IsZero() {
		return parts.Value{}
	}
	return parts.Num(rounded(q.In(in)))
}

// rounded leaves one decimal: nobody reads a thermometer or a gauge closer.
func rounded(v float64) float64 { return math.Round(v*10) / 10 }
