package exchange

import (
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// measured returns what an entry says was measured, as it was typed. What was
// only set, such as an oven, is not among it.
func (e *epcis) measured(l *line, data journal.Payload) []sensor {
	m := &measuring{Source: e.Source}
	switch d := data.(type) {
	case *journal.Torque:
		add(m.with(d.Tool), "torque", d.Torque)
		m.turned(d.Turned)
	case *journal.Bleed:
		add(m, "drawn", d.Drawn)
		add(m.with(d.Tool), "screw", d.Screw)
	case *journal.WheelFit:
		add(m.with(d.Tool), "torque", d.Torque)
	case *journal.Retorque:
		add(m.with(d.Tool), "torque", d.Torque)
	case *journal.Reservoir:
		add(m, "before", d.Before)
		add(m, "after", d.After)
		add(m, "added", d.Added)
	case *journal.ParkingBrake:
		add(m, "battery", d.Battery)
	case *journal.LeakCheck:
		add(m, "held", d.Held)
	case *journal.RoadTest:
		add(m, "distance", d.Distance)
	case *journal.Blasting:
		add(m, "pressure", d.Pressure)
		add(m, "took", d.Took)
	case *journal.Soaking:
		add(m, "metal", d.Metal)
		add(m, "held", d.Held)
	case *journal.Coating:
		add(m, "metal", d.Metal)
		add(m, "air", d.Air)
		add(m, "humidity", d.Humidity)
		m.last("humidity", "RelativeHumidity")
		add(m, "charge", d.Charge)
		add(m, "earth", d.Earth)
	case *journal.BakeStart:
		add(m, "load", d.Load)
	case *journal.Cure:
		add(m, "metal", d.Metal)
		add(m, "held", d.Held)
	case *journal.Cooling:
		add(m, "to", d.To)
	case *journal.FilmReadings:
		m.with(d.Gauge)
		for _, s := range d.Spots {
			m.at = s.Place
			for _, r := range s.Readings {
				add(m, "spots", r)
			}
		}
	case *journal.Condition:
		add(m, "measure", d.Measure)
	case *journal.Defect:
		add(m, "size", d.Size)
	case *journal.ProbeTrace:
		return m.trace(d)
	}
	if len(m.reports) == 0 {
		return nil
	}
	return []sensor{{Reports: m.reports}}
}

// measuring gathers what was measured.
type measuring struct {
	*Source
	tool    string
	at      string
	reports []report
}

// with names the tool of what follows.
func (m *measuring) with(tool journal.ToolID) *measuring {
	if tool != "" {
		m.tool = m.urn(journal.Of("tool", string(tool)))
	}
	return m
}

// add adds a quantity that was given.
func add[D unit.Dimension](m *measuring, field string, q unit.Of[D]) {
	if q.IsZero() {
		return
	}
	what, code := coded(q.Unit())
	value := q.Value()
	if torque, ok := any(q).(unit.Torque); ok && torque.Unit() == unit.DecanewtonMetre { // has no code
		what, code = coded(unit.NewtonMetre)
		value = torque.In(unit.NewtonMetre)
	}
	m.reports = append(m.reports, report{Type: what, Device: m.tool, Value: &value, Unit: code, Field: field, At: m.at, Typed: q.String()})
}

// last says of what type the report of a field is, if it is the one that was
// added last.
func (m *measuring) last(field, what string) {
	if n := len(m.reports); n > 0 && m.reports[n-1].Field == field {
		m.reports[n-1].Type = what
	}
}

// turned adds the angle by which a bolt was turned, which no torque wrench
// measures.
func (m *measuring) turned(degrees int) {
	if degrees != 0 {
		value := float64(degrees)
		m.reports = append(m.reports, report{Type: "Angle", Value: &value, Unit: "DD", Field: "turned", Typed: fmt.Sprintf("%d°", degrees)})
	}
}

// trace returns the peak of each channel of a recording. Its readings are in
// the entry.
func (m *measuring) trace(d *journal.ProbeTrace) []sensor {
	_, code := coded(unit.Celsius)
	if d.Unit == journal.UnitFahrenheit {
		_, code = coded(unit.Fahrenheit)
	}
	for _, c := range d.Channels {
		peak, any := c.Readings.Peak()
		value, ok := unit.Decimal(peak)
		if !any || !ok {
			continue
		}
		m.reports = append(m.reports, report{Type: "Temperature", Most: &value, Unit: code, Field: "channels", At: "channel " + c.Channel})
	}
	if len(m.reports) == 0 {
		return nil
	}
	var meta metadata
	if !d.Begun.IsZero() {
		meta.Start, meta.End = after(d.Begun, d.Seconds.First()), after(d.Begun, d.Seconds.Last())
	}
	if !d.File.IsZero() {
		meta.Raw = named(d.File)
	}
	s := sensor{Reports: m.reports}
	if meta != (metadata{}) {
		s.Metadata = &meta
	}
	return []sensor{s}
}

// after is the time so many seconds after another.
func after(second0 journal.Stamp, seconds float64) string {
	text, _ := clock(journal.Stamp(time.Time(second0).Add(time.Duration(seconds * float64(time.Second)).Round(time.Millisecond))))
	return text
}

// coded returns what a unit measures, by the names of the GS1 Web Vocabulary,
// and its code in UN/ECE Recommendation 20.
func coded(u any) (what, code string) {
	switch u {
	case unit.NewtonMetre:
		return "Torque", "NU"
	case unit.PoundForceFoot:
		return "Torque", "M92"
	case unit.PoundForceInch:
		return "Torque", "F21"
	case unit.KilogramForceMetre:
		return "Torque", "B38"
	case unit.Celsius:
		return "Temperature", "CEL"
	case unit.Fahrenheit:
		return "Temperature", "FAH"
	case unit.Minute:
		return "Time", "MIN"
	case unit.Second:
		return "Time", "SEC"
	case unit.Hour:
		return "Time", "HUR"
	case unit.Micrometre:
		return "Length", "4H"
	case unit.Mil:
		return "Length", "77"
	case unit.Millimetre:
		return "Length", "MMT"
	case unit.Inch:
		return "Length", "INH"
	case unit.Kilometre:
		return "Length", "KMT"
	case unit.Mile:
		return "Length", "SMI"
	case unit.Millilitre:
		return "Volume", "MLT"
	case unit.Litre:
		return "Volume", "LTR"
	case unit.USFluidOunce:
		return "Volume", "OZA"
	case unit.USGallon:
		return "Volume", "GLL"
	case unit.Kilopascal:
		return "Pressure", "KPA"
	case unit.PSI:
		return "Pressure", "PS"
	case unit.Bar:
		return "Pressure", "BAR"
	case unit.Megapascal:
		return "Pressure", "MPA"
	case unit.Kilogram:
		return "Mass", "KGM"
	case unit.Gram:
		return "Mass", "GRM"
	case unit.Pound:
		return "Mass", "LBR"
	case unit.Volt:
		return "Voltage", "VLT"
	case unit.Millivolt:
		return "Voltage", "2Z"
	case unit.Kilovolt:
		return "Voltage", "KVT"
	case unit.Ohm:
		return "Resistance", "OHM"
	case unit.Kilohm:
		return "Resistance", "B49"
	case unit.Megohm:
		return "Resistance", "B75"
	case unit.Percent:
		return "Dimensionless", "P1"
	}
	return terms + "quantity", ""
}
