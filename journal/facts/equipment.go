package facts

import (
	"fmt"
	"math"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// ServiceState is how a machine stood at the moment of a use, or how it stands
// now, as far as one kind of service goes.
type ServiceState struct {
	Tool    *journal.Tool       // nil if it is not registered
	Kind    journal.ServiceKind // that parts hang on; "" of a tool without one
	Done    *journal.Service
	Line    *record.Line // where that is written
	On      journal.Date // when it was done
	Due     Due
	Changed bool // it was repaired after that
}

// yearly is how often an oven is surveyed where nobody says otherwise.
const yearly = 12 // months

// Serviced looks up the last service of a machine before a use of it.
func (s *Stock) Serviced(id journal.ToolID, use *record.Line) ServiceState {
	return s.serviced(id, use, time.Time(use.Clocks.Device))
}

// ServicedNow says how a machine stands at a time after all that is written.
func (s *Stock) ServicedNow(id journal.ToolID, at time.Time) ServiceState {
	return s.serviced(id, nil, at)
}

// serviced takes the service that the work of a machine hangs on. A survey of
// an oven holds for a year and until a repair. One that is written down late
// counts by the day on which it was done: neither after a repair nor in place of
// another service that came later.
func (s *Stock) serviced(id journal.ToolID, use *record.Line, at time.Time) (t ServiceState) {
	lines := s.Lines(journal.Of("tool", string(id)))
	if t.Tool, _ = stated[journal.Tool](s, lines); t.Tool == nil {
		return t
	}
	t.Kind = serviceOf(t.Tool.What)
	var repaired journal.Date
	for _, l := range lines {
		d, ok := s.effect(l).(*journal.Service)
		if !ok || use != nil && !Before(l, use) {
			continue
		}
		switch on := doneOn(d, l, at); {
		case d.Done == t.Kind && on >= t.On:
			t.Done, t.Line, t.On = d, l, on
			t.Changed = t.Changed && on < repaired
		case d.Done == journal.OvenRepaired:
			t.Changed, repaired = true, max(repaired, on)
		}
	}
	if t.Done == nil {
		return t
	}
	on := DueOn(t.On, at).On
	due := t.Done.Due
	if due == "" && t.Kind == journal.OvenSurveyed {
		due = journal.Date(on.AddDate(0, yearly, 0).Format(time.DateOnly))
	}
	t.Due = DueOn(due, at)
	return t
}

// doneOn is the day on which a service was done, if not that of its entry.
func doneOn(d *journal.Service, l *record.Line, at time.Time) journal.Date {
	if DueOn(d.On, at).IsZero() {
		return journal.Date(time.Time(l.Clocks.Device).Format(time.DateOnly))
	}
	return d.On
}

// serviceOf is the service that the work of a machine hangs on.
func serviceOf(what journal.ToolKind) journal.ServiceKind {
	switch what {
	case journal.Oven:
		return journal.OvenSurveyed
	case journal.BlastCabinet:
		return journal.MediaChanged
	case journal.AirDryer:
		return journal.DryerServiced
	case journal.AirFilter:
		return journal.FilterChanged
	case journal.PowderBooth:
		return journal.BoothServiced
	}
	return ""
}

// Spread returns how far the places of a surveyed oven lay apart in K, and
// which was the coldest.
func Spread(d *journal.Service) (kelvin float64, coldest string) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range d.Places {
		reads := p.Reads.In(unit.Celsius)
		if reads < low {
			low, coldest = reads, p.Place
		}
		high = math.Max(high, reads)
	}
	return high - low, coldest
}

// serviced states how a registered machine stood. What is not registered is
// said beside the thing itself.
func (w *entry) serviced(id journal.ToolID) {
	is := w.Serviced(id, w.line)
	if is.Kind == "" {
		return
	}
	s := Statement{Quantity: Equipment, Of: string(id), Value: string(is.Kind)}
	if is.Done == nil {
		s.Met, s.Sure, s.Because = NotKnown, NotProven, NeverServiced
		w.state(s)
		return
	}
	s.With = []Figure{with("on", string(is.On)), with("media", is.Done.Media)}
	if is.Kind == journal.OvenSurveyed {
		spread, coldest := Spread(is.Done)
		s.With = append(s.With, shown("spread", unit.Show(spread, unit.Kelvin, w.Units().Difference, 0)), beside("set", is.Done.Set, w.Units().Temperature, w.Writing()), with("coldest", coldest), with("load", words.Choose(is.Done.Loaded, "loaded", "empty")))
	}
	switch {
	case is.Changed:
		s.Met, s.Because = No, RepairedSince
	case !is.Due.IsZero():
		s.Limit.High, s.Met = is.Due.On.Format(time.DateOnly), met(!is.Due.Past())
		s.Source = words.Choose(is.Done.Due == "", practice+": yearly, and after every repair", "as written with the service")
	}
	w.state(s.on(is.Line))
}

// air states how the dryers, filters and booths of the shop stood: what is
// sprayed goes through them.
func (w *entry) air() {
	for _, t := range w.shop.Tools {
		switch is, _ := stated[journal.Tool](w.Stock, t.Lines); {
		case is == nil:
		case is.What == journal.AirDryer, is.What == journal.AirFilter, is.What == journal.PowderBooth:
			w.serviced(t.ID)
		}
	}
}

// sensors states of the probes of a bake, and of its recorder, which are not
// in calibration.
func (w *entry) sensors(probes []journal.Probe) {
	for _, p := range probes {
		if is := w.ToolAt(p.Tool, w.line); p.Tool != "" && is.Doubt != NoDoubt {
			w.state(Statement{Quantity: SensorCheck, Of: p.Channel, Value: string(p.Tool), Met: NotKnown, Sure: NotProven, Tool: &is})
		}
	}
}

// equipmentWords says when a machine was serviced, and whether that holds.
func (s Statement) equipmentWords() string {
	if s.Because == NeverServiced {
		return fmt.Sprintf("%s: “%s” is not on record", s.Of, s.Value)
	}
	text := fmt.Sprintf("%s: %s on %s", s.Of, s.Value, s.calendar(s.Has("on")))
	if spread := s.Has("spread"); spread != "" {
		text += fmt.Sprintf(", %s apart with the oven %s and set to %s, the coldest place %s", spread, s.Has("load"), s.Has("set"), s.Has("coldest"))
	}
	text += words.Fill(", %s", s.Has("media"))
	switch {
	case s.Because == RepairedSince:
		return text + "; the oven has been repaired since, so it has to be surveyed again"
	case s.Met == No:
		return text + fmt.Sprintf("; it was due again on %s", s.calendar(s.Limit.High))
	}
	return text + words.Fill("; due again on %s", s.calendar(s.Limit.High))
}
