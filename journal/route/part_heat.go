package route

import (
	"errors"
	"math"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

var errNoSchedule = errors.New("its data sheet's schedule is not here")

// lot returns what the register says of a powder lot, and where.
func (w *work) lot(id journal.LotID) (*journal.PowderLot, *record.Line) {
	for _, l := range w.shop.Lots {
		if l.ID == id {
			return stated[journal.PowderLot](w, l.Lines)
		}
	}
	return nil, nil
}

// stated returns what the lines of a thing on the register state last.
func stated[P any](w *work, lines []*record.Line) (*P, *record.Line) {
	for _, l := range slices.Backward(lines) {
		if p, ok := any(w.effect(l)).(*P); ok {
			return p, l
		}
	}
	return nil, nil
}

func scheduleOf(lot *journal.PowderLot) (bake.Schedule, error) {
	if len(lot.Schedule) == 0 {
		return bake.Schedule{}, errNoSchedule
	}
	var points []bake.Point
	for _, p := range lot.Schedule {
		points = append(points, bake.Point{Metal: p.Metal, Hold: p.Hold})
	}
	return bake.NewSchedule(points...)
}

func seriesOf(t *journal.ProbeTrace) (*bake.Series, error) {
	var channels []bake.ChannelSeries
	for _, c := range t.Channels {
		channels = append(channels, bake.ChannelSeries{Channel: c.Channel, Readings: string(c.Readings)})
	}
	return bake.NewSeries(string(t.Seconds), bake.Scale(t.Unit), channels...)
}

// judge judges a trace against a lot's schedule, once for all parts in it.
func (w *work) judge(t event, probes []bake.Probe, schedule bake.Schedule, lot journal.LotID) (*bake.Result, error) {
	key := judgement{t.line.ID, lot}
	if done, ok := w.judged[key]; ok {
		return done.result, done.err
	}
	trace := t.data.(*journal.ProbeTrace)
	logged := slices.DeleteFunc(slices.Clone(probes), func(p bake.Probe) bool {
		return !slices.ContainsFunc(trace.Channels, func(c journal.Channel) bool { return c.Channel == p.Channel })
	})
	series, err := seriesOf(trace)
	var result bake.Result
	if err == nil {
		result, err = bake.Judge(series, schedule, bake.DefaultRules(), logged)
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
func (w *work) heat(p *partWork) (f heatFacts) {
	f.Measured = true
	w.addHeat(&f, p.part.Subject, p.events)
	if c := p.part.Casting; c != nil {
		for _, other := range c.Parts {
			if other != p.part {
				w.addHeat(&f, other.Subject, w.eventsOf(other))
			}
		}
	}
	if f.Runs == 0 {
		f.wait("the part was in no heat yet")
		return f
	}
	how := "by probes on the part"
	if !f.Measured {
		how = "at most, since not all of it was measured on the part"
	}
	f.say("%.0f min above %.0f °C over the life of the casting, %s", f.Minutes, heatAbove(), how)
	return f
}

func heatAbove() float64 { return bake.DefaultHeatLimit().Above.Value }

// eventsOf returns what counts of a part of any job.
func (w *work) eventsOf(p *record.Part) []event {
	var events []event
	for i, l := range p.Timeline() {
		data := w.effect(l)
		if rack := hung(data); data == nil || len(rack) > 0 && !slices.Contains(rack, p.Subject) {
			continue
		}
		events = append(events, event{l, data, i})
	}
	return events
}

func (w *work) addHeat(f *heatFacts, on journal.Subject, events []event) {
	for _, e := range events {
		s, ok := e.data.(*journal.Soaking)
		if !ok {
			continue
		}
		f.Runs++
		f.rests(e.line)
		metal := s.Set
		if !s.Metal.IsZero() {
			metal = s.Metal
		}
		if metal.In(unit.Celsius) > heatAbove() {
			f.Minutes += s.Held.In(unit.Minute)
			f.Measured = false
		}
	}
	for _, b := range bakesIn(events) {
		f.Runs++
		f.rests(b.start.line)
		minutes, measured := w.minutes(b, on)
		f.Minutes += minutes
		f.Measured = f.Measured && measured
		for _, t := range b.traces {
			f.rests(t.line)
		}
	}
}

// minutes returns how long a part was hot in a bake, and whether a probe on
// the part showed it.
func (w *work) minutes(b bakeRun, on journal.Subject) (minutes float64, measured bool) {
	any, mine := 0.0, math.NaN()
	for _, t := range b.traces {
		trace := t.data.(*journal.ProbeTrace)
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
	switch start := b.start.data.(*journal.BakeStart); {
	case !math.IsNaN(mine):
		return mine, true
	case len(b.traces) > 0:
		return any, false
	case b.held != nil && start.Set.In(unit.Celsius) > heatAbove():
		return b.held.data.(*journal.Cure).Held.In(unit.Minute), false
	default:
		return 0, start.Set.In(unit.Celsius) <= heatAbove()
	}
}

func zeroIfNaN(f float64) float64 {
	if math.IsNaN(f) {
		return 0
	}
	return f
}

// above returns the minutes of heat of each channel of a trace.
func (w *work) above(t event) ([]float64, error) {
	if minutes, ok := w.hot[t.line.ID]; ok {
		return minutes, nil
	}
	series, err := seriesOf(t.data.(*journal.ProbeTrace))
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
	w.hot[t.line.ID] = minutes
	return minutes, nil
}
