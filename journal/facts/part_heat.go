package facts

import (
	"errors"
	"math"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

var errNoSchedule = errors.New("its data sheet’s schedule is not here")

func scheduleOf(lot *journal.PowderLot) (bake.Schedule, error) {
	if len(lot.Schedule) == 0 {
		return bake.Schedule{}, errNoSchedule
	}
	return bake.NewSchedule(pointsOf(lot.Schedule)...)
}

func pointsOf(list []journal.BakePoint) (points []bake.Point) {
	for _, p := range list {
		points = append(points, bake.Point{Metal: p.Metal, Hold: p.Hold})
	}
	return points
}

// rulesOf returns the limits of a bake with a powder: the shop's, and what its
// sheet says.
func (s *Stock) rulesOf(lot *journal.PowderLot, schedule bake.Schedule) bake.Rules {
	rules := bake.DefaultRules()
	rules.Units = s.Units()
	if lot != nil && len(schedule.Points()) > 0 {
		rules.Most = schedule.Most(pointsOf(lot.Most)...)
	}
	return rules
}

func seriesOf(t *journal.ProbeTrace) (*bake.Series, error) {
	var channels []bake.ChannelSeries
	for _, c := range t.Channels {
		channels = append(channels, bake.ChannelSeries{Channel: c.Channel, Readings: string(c.Readings)})
	}
	return bake.NewSeries(string(t.Seconds), bake.Scale(t.Unit), channels...)
}

// judge judges a recording against a lot's schedule, once for all parts in it.
func (w *Job) judge(l recording, probes []bake.Probe, schedule bake.Schedule, of journal.LotID) (*bake.Result, error) {
	key := judgement{l.lines[0].ID, of}
	if done, ok := w.judged[key]; ok {
		return done.result, done.err
	}
	lot, _ := w.stock.Lot(of)
	series, err := seriesOf(l.trace)
	var result bake.Result
	if err == nil {
		result, err = bake.Judge(series, schedule, w.stock.rulesOf(lot, schedule), logged(probes, l.trace))
	}
	if w.judged == nil {
		w.judged = make(map[judgement]judged)
	}
	w.judged[key] = judged{&result, err}
	return &result, err
}

type (
	judgement struct {
		trace journal.EntryID
		lot   journal.LotID
	}
	judged struct {
		result *bake.Result
		err    error
	}
)

// heat adds up the heat over the life of the casting. What no probe on the
// part measured counts as much as it can have been: the hottest channel, or
// the clock.
func (w *Job) heat(p *partWork, g *Group) (f card.HeatFacts) {
	sum := w.heatOf(p.part.Subject, p.events)
	if c := p.part.Casting; c != nil {
		for _, other := range c.Parts {
			if other != p.part {
				sum.join(w.heatOf(other.Subject, w.eventsOf(other)))
			}
		}
	}
	f.Measured, f.Runs, f.Minutes = !sum.guessed, sum.runs, sum.minutes
	if f.Runs == 0 {
		g.await(HeatDose, NoHeat)
		return f
	}
	g.rests(sum.rests...)
	g.state(w.stock.heatBy(g.About, sum))
	return f
}

func heatAbove() float64 { return bake.DefaultHeatLimit().Above.Value }

// heatFrom is the temperature above which heat counts, in the shop's unit.
func (s *Stock) heatFrom() string { return bake.DefaultHeatLimit().Above.Figure(s.Units()) }

// eventsOf returns what counts of a part of any job.
func (w *Job) eventsOf(p *record.Part) []Event {
	var events []Event
	for _, l := range p.Timeline() {
		data := w.stock.effect(l)
		if rack := journal.Hung(data); data == nil || len(rack) > 0 && !slices.Contains(rack, p.Subject) {
			continue
		}
		events = append(events, Event{l, data})
	}
	return events
}

// heatOf adds up the heat of one part.
func (w *Job) heatOf(on journal.Subject, events []Event) (sum heatSum) {
	for _, h := range w.heated(on, events) {
		sum.add(h)
	}
	return sum
}

// minutes returns how long a part was hot in a bake, and whether a probe on
// the part showed it.
func (w *Job) minutes(b bakeRun, on journal.Subject) (minutes float64, measured bool) {
	any, mine := 0.0, math.NaN()
	for _, t := range b.traces {
		trace := t.Data.(*journal.ProbeTrace)
		all, err := w.above(t)
		if err != nil {
			continue
		}
		for i, m := range all {
			any = math.Max(any, m)
			channel := trace.Channels[i].Channel
			if slices.ContainsFunc(b.probes, func(p bake.Probe) bool { return p.Channel == channel && p.On == string(on) }) {
				mine = math.Max(m, zeroIfNaN(mine))
			}
		}
	}
	switch start := b.start.Data.(*journal.BakeStart); {
	case !math.IsNaN(mine):
		return mine, true
	case len(b.traces) > 0:
		return any, false
	case start.Set.In(unit.Celsius) <= heatAbove():
		return 0, true
	case b.held != nil:
		return b.held.Data.(*journal.Cure).Held.In(unit.Minute), false
	case b.out != nil: // nobody wrote how long it was, so it was no longer than until then
		passed, _ := elapsed(b.start.Line, b.out.Line)
		return math.Max(0, passed.Minutes()), false
	default:
		return 0, false
	}
}

func zeroIfNaN(f float64) float64 {
	if math.IsNaN(f) {
		return 0
	}
	return f
}

// above returns the minutes of heat of each channel of a trace.
func (w *Job) above(t Event) ([]float64, error) {
	if minutes, ok := w.hot[t.Line.ID]; ok {
		return minutes, nil
	}
	series, err := seriesOf(t.Data.(*journal.ProbeTrace))
	if err != nil {
		return nil, err
	}
	minutes, err := bake.MinutesAbove(series, heatAbove())
	if err != nil {
		return nil, err
	}
	if w.hot == nil {
		w.hot = make(map[journal.EntryID][]float64)
	}
	w.hot[t.Line.ID] = minutes
	return minutes, nil
}
