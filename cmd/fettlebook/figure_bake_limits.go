package main

import (
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

// bakeLimits are the limits of a bake that a data sheet or a shop may set otherwise.
type bakeLimits struct {
	Gap       entered `help:"The longest time between readings that is not a gap (default: a tenth of the schedule’s shortest hold)." placeholder:"\"1 min\""`
	CutOff    entered `help:"How far below the schedule’s lowest point time still counts (default: 0 K)." placeholder:"\"0 K\""`
	Lenient   entered `help:"The same on the lenient reading (default: 10 K)." placeholder:"\"10 K\""`
	Above     entered `help:"How far above its highest point the schedule still holds (default: 10 K)." placeholder:"\"10 K\""`
	Overbake  entered `help:"How many schedules the data sheet allows at most (default: it gives no limit)." placeholder:"3"`
	Suspect   entered `help:"Above which temperature a reading is not believed (default: 260 °C)." placeholder:"\"260 °C\""`
	HeatAbove entered `help:"From which temperature on heat softens the casting (default: 150 °C)." placeholder:"\"150 °C\""`
	HeatLimit entered `help:"How long a casting may be above it in its life (default: 120 min)." placeholder:"\"120 min\""`
}

// rules returns the usual limits, with those that were typed in their place.
func (c bakeLimits) rules(in *intake) (bake.Rules, bake.HeatLimit) {
	r, heat := bake.DefaultRules(), bake.DefaultHeatLimit()
	set := func(l *bake.Limit, text entered, value float64) {
		if text != "" {
			l.Value, l.Source = value, asEntered
		}
	}
	set(&r.MaxGap, c.Gap, quantity(in, "gap", c.Gap, unit.Minute, 1).In(unit.Minute))
	set(&r.Strict.Below, c.CutOff, quantity(in, "cut-off", c.CutOff, unit.Kelvin, 1).In(unit.Kelvin))
	set(&r.Lenient.Below, c.Lenient, quantity(in, "lenient cut-off", c.Lenient, unit.Kelvin, 1).In(unit.Kelvin))
	if c.Lenient == "" {
		r.Lenient.Below.Value = max(r.Lenient.Below.Value, r.Strict.Below.Value)
	}
	set(&r.Above, c.Above, quantity(in, "above", c.Above, unit.Kelvin, 1).In(unit.Kelvin))
	if c.Overbake != "" {
		set(&r.Most, c.Overbake, in.number("overbake", c.Overbake))
	}
	set(&r.Suspect, c.Suspect, quantity(in, "suspect", c.Suspect, unit.Celsius, 1).In(unit.Celsius))
	set(&heat.Above, c.HeatAbove, quantity(in, "heat above", c.HeatAbove, unit.Celsius, 1).In(unit.Celsius))
	set(&heat.Minutes, c.HeatLimit, quantity(in, "heat limit", c.HeatLimit, unit.Minute, 1).In(unit.Minute))
	r.HeatAbove = heat.Above
	return r, heat
}

const asEntered = "as entered"
