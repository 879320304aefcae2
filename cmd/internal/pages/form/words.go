package form

import "fettlebook/journal/trade/unit"

// The fields that many forms share.

func quantity(name, label string, step float64, units ...string) Field {
	return Field{Name: name, Label: label, Control: Quantity, Units: units, Step: step}
}

func celsius(name, label string) Field {
	f := quantity(name, label, 5, "°C", "°F").asked(inUnit(unit.Celsius, func(in unit.System) unit.TemperatureUnit { return in.Temperature }))
	f.Least = -40
	return f
}

func minutes(name, label string) Field { return quantity(name, label, 5, "min", "h", "s") }

func torqueOf(name, label string) Field {
	return quantity(name, label, 1, "N·m", "lb·ft", "lb·in").asked(inUnit(unit.NewtonMetre, func(in unit.System) unit.TorqueUnit { return in.Torque }))
}

func smallTorque(name, label string) Field {
	return quantity(name, label, 1, "N·m", "lb·ft", "lb·in").asked(inUnit(unit.NewtonMetre, func(in unit.System) unit.TorqueUnit { return in.SmallTorque }))
}

func film(name, label string) Field {
	return quantity(name, label, 1, "µm", "mil").asked(inUnit(unit.Micrometre, func(in unit.System) unit.LengthUnit { return in.Film }))
}

func length(name, label string, step float64, more ...string) Field {
	return quantity(name, label, step, append([]string{"mm", "in"}, more...)...).asked(inUnit(unit.Millimetre, func(in unit.System) unit.LengthUnit { return in.Length }))
}

func volume(name, label string) Field {
	return quantity(name, label, 10, "mL", "L", "US fl oz").asked(inUnit(unit.Millilitre, func(in unit.System) unit.VolumeUnit { return in.Volume }))
}

func litres(name, label string) Field {
	return quantity(name, label, 0.5, "L", "mL", "US fl oz").asked(inUnit(unit.Litre, func(in unit.System) unit.VolumeUnit {
		if in.Volume == unit.Millilitre {
			return unit.Litre
		}
		return in.Volume
	}))
}

func pressure(name, label string) Field {
	return quantity(name, label, 0.5, "bar", "psi", "kPa").asked(inUnit(unit.Bar, func(in unit.System) unit.PressureUnit { return in.Pressure }))
}

func kilograms(name, label string) Field {
	return quantity(name, label, 1, "kg", "lb").asked(inUnit(unit.Kilogram, func(in unit.System) unit.MassUnit { return in.Mass }))
}

// distance is asked in whole steps in any unit.
func distance(name, label string, step float64) Field {
	return quantity(name, label, step, "km", "mi").asked(func(in unit.System) (string, float64) {
		if in.Distance == 0 {
			return "km", 1
		}
		return in.Distance.String(), 1
	})
}

// odometer counts whole thousands, and no thousandths.
func odometer() Field {
	f := distance("odometer", "Odometer", 1)
	f.thousands = true
	return f
}

// level is read off a reservoir; its whole scale can be tapped.
func level(name, label string) Field {
	f := quantity(name, label, 5, "%").must()
	f.Usual = []string{"0 %", "20 %", "40 %", "60 %", "80 %", "100 %"}
	return f
}

// share is how much of a whole.
func share(name, label string) Field { return quantity(name, label, 1, "%") }

func count(name, label string) Field {
	return Field{Name: name, Label: label, Control: Count, Step: 1}
}

func choice(name, label string, words []string) Field {
	return Field{Name: name, Label: label, Control: Choice, Words: words}
}

func text(name, label string, usual ...string) Field {
	return Field{Name: name, Label: label, Control: Text, Usual: usual}
}

func long(name, label string, usual ...string) Field {
	return Field{Name: name, Label: label, Control: Long, Usual: usual}
}

func list(name, label string, usual ...string) Field {
	return Field{Name: name, Label: label, Control: List, Usual: usual, Cells: []Field{{Label: label, Control: Text}}}
}

func pick(name, label, of string) Field {
	return Field{Name: name, Label: label, Control: Pick, Of: of}
}

func refer(name, label string) Field {
	return Field{Name: name, Label: label, Control: Refer, Required: true, None: "The entry that this answers is not here yet."}
}

func yesno(name, label, yes, no string) Field {
	return Field{Name: name, Label: label, Control: YesNo, Yes: yes, No: no, Required: true}
}

func tick(name, label, yes string) Field {
	return Field{Name: name, Label: label, Control: Tick, Yes: yes}
}

func date(name, label string) Field { return Field{Name: name, Label: label, Control: Date} }

func keep(name string) Field { return Field{Name: name, Label: name, Control: Keep} }

// items is a list of counted small things.
func items(name, label string, usual ...string) Field {
	what := text("what", "What")
	what.Required, what.Usual = true, usual
	n := count("count", "How many")
	n.Required = true
	return Field{Name: name, Label: label, Control: Rows, Usual: usual, Cells: []Field{what, n}}
}

func (f Field) asked(in first) Field { f.first = in; return f }

// inUnits gives a field answers to tap that depend on the units of the shop.
func (f Field) inUnits(usual func(unit.System) []string) Field {
	f.usualIn, f.Usual = usual, usual(unit.Metric())
	return f
}

func (f Field) none(text string) Field { f.None = text; return f }

// optional lets a field be left empty.
func optional(f Field) Field { f.Required = false; return f }

func (f Field) must() Field            { f.Required = true; return f }
func (f Field) more() Field            { f.More = true; return f }
func (f Field) again() Field           { f.Reused = true; return f }
func (f Field) told() Field            { f.Told = true; return f }
func (f Field) help(text string) Field { f.Help = text; return f }
func (f Field) drawn(path, tells func(word string) string) Field {
	f.Drawn, f.Tells = path, tells
	return f
}
func (f Field) by(step float64) Field { f.Step = step; return f }
