package form

import (
	"math"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// first says in which unit a shop is asked, and how many of the field's own
// first unit that is.
type first func(unit.System) (spelling string, size float64)

// inUnit asks in the unit that a shop has for a quantity. Own is the field's.
func inUnit[D unit.Dimension](own unit.Unit[D], of func(unit.System) unit.Unit[D]) first {
	return func(in unit.System) (string, float64) {
		u := of(in)
		if u == 0 || u == own {
			return own.String(), 1
		}
		return u.String(), unit.Convert(1, u, own) - unit.Convert(0, u, own)
	}
}

// In returns the form as a shop has it that works in some units: they are
// offered first, + and − step as far as before, and answers to tap are in
// them. Numbers stand there as the shop writes them, and may be typed so.
func (s Sheet) In(in unit.System) Sheet {
	s.Fields = fieldsIn(s.Fields, in)
	return s
}

func fieldsIn(fields []Field, in unit.System) []Field {
	list := slices.Clone(fields)
	for i := range list {
		f := &list[i]
		f.Cells, f.writing = fieldsIn(f.Cells, in), in.Writing
		if f.usualIn != nil {
			f.Usual = f.usualIn(in)
		}
		if f.first == nil {
			continue
		}
		spelling, size := f.first(in)
		if f.Units[0] == spelling {
			continue
		}
		others := slices.DeleteFunc(slices.Clone(f.Units), func(u string) bool { return u == spelling })
		f.Units, f.Step = append([]string{spelling}, others...), handy(f.Step/size)
	}
	return list
}

// handy is the nearest 1, 2 or 5 times a power of ten.
func handy(step float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(step)))
	best := power
	for _, times := range []float64{2, 5, 10} {
		if math.Abs(math.Log(times*power/step)) < math.Abs(math.Log(best/step)) {
			best = times * power
		}
	}
	return best
}

// besides is what a customer may be told beside what everybody is told.
func besides(in unit.System) []string {
	far := "50 to 100 km"
	if in.Distance == unit.Mile {
		far = "30 to 60 mi"
	}
	return []string{"wheel nuts again after " + far, "no salt wash for two weeks", "the pads squeal when cold", "one caliper is not coated inside"}
}

// media are what cabinets are filled with. Glass bead goes by the size of its
// grain or by the sieve that it passes.
func media(in unit.System) []string {
	bead := "glass bead 90-150 µm"
	if in.Film == unit.Mil {
		bead = "glass bead, mesh 100-170"
	}
	return []string{bead, "aluminium oxide 120", "garnet 80", "soda"}
}

// storage is how powder is kept.
func storage(in unit.System) []string {
	return []string{"dry cabinet, below " + unit.Show(25, unit.Celsius, in.Temperature, 0), "closed box beside the booth"}
}

// unitChoice is one of the units that a shop chooses.
type unitChoice struct {
	field Field
	is    func(unit.System) string // which one a system has
}

// unitChoices are the units that a shop chooses.
func unitChoices() []unitChoice {
	small := "Of bleeder screws and whatever is tightened with less than " + unit.Format(unit.SmallBelow, unit.NewtonMetre, 0) + ", which is " + unit.Show(unit.SmallBelow, unit.NewtonMetre, unit.PoundForceInch, 0) + "."
	return []unitChoice{
		{choice("units.torque", "Torque", unit.TorqueUnit(0).Words()).must(), func(s unit.System) string { return s.Torque.String() }},
		{choice("units.small_torque", "Torque of small joints", unit.TorqueUnit(0).Words()).must().help(small), func(s unit.System) string { return s.SmallTorque.String() }},
		{choice("units.temperature", "Temperature", unit.TemperatureUnit(0).Words()).must(), func(s unit.System) string { return s.Temperature.String() }},
		{choice("units.difference", "Difference of temperatures", unit.TemperatureDifferenceUnit(0).Words()).must(), func(s unit.System) string { return s.Difference.String() }},
		{choice("units.pressure", "Pressure", unit.PressureUnit(0).Words()).must(), func(s unit.System) string { return s.Pressure.String() }},
		{choice("units.film", "Film", unit.LengthUnit(0).Words()).must(), func(s unit.System) string { return s.Film.String() }},
		{choice("units.length", "Other lengths", unit.LengthUnit(0).Words()).must(), func(s unit.System) string { return s.Length.String() }},
		{choice("units.volume", "Volume of fluid", unit.VolumeUnit(0).Words()).must(), func(s unit.System) string { return s.Volume.String() }},
		{choice("units.distance", "Distance", unit.DistanceUnit(0).Words()).must(), func(s unit.System) string { return s.Distance.String() }},
		{choice("units.mass", "Mass", unit.MassUnit(0).Words()).must(), func(s unit.System) string { return s.Mass.String() }},
	}
}

// unitSheets is the form of the units in which the shop works.
func unitSheets() []Sheet {
	s := Sheet{Kind: journal.UnitsChosen, Title: "The shop’s units", Act: "Work in these"}
	for _, c := range unitChoices() {
		s.Fields = append(s.Fields, c.field)
	}
	return []Sheet{s}
}

// writingSheets is the form of how the shop writes.
func writingSheets() []Sheet {
	return []Sheet{{Kind: journal.WritingChosen, Title: "How the shop writes", Act: "Write like this", Fields: []Field{
		choice("decimal", "Decimal sign", words.Point.Words()).must().help("22.5 or 22,5. Either may be typed; the number keys have the one that is chosen."),
		choice("thousands", "Thousands", words.Together.Words()).must().help("63120 or 63\u202f120, from five figures on. What was typed with spaces keeps them."),
		choice("days", "Days", words.MonthInWords.Words()).must().help("30 November 2026, 2026-11-30, 30.11.2026, 30/11/2026 or 11/30/2026. Times have 24 hours."),
		choice("people", "People on a customer’s paper", journal.Naming("").Words()).must().help("Full names stand there as far as their cards are here; of everybody else, the initials."),
	}}}
}

// UnitsAs fills the form of the shop's units in by a system: the name of each
// field and behind it what is chosen.
func UnitsAs(is unit.System) (filled []string) {
	for _, c := range unitChoices() {
		filled = append(filled, c.field.Name, c.is(is))
	}
	return filled
}
