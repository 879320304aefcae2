package facts

import (
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/torque"
	"fettlebook/journal/words"
)

// Driving states why the vehicle is not to be driven as it stands: of each corner
// what stands in the way first, and where no corner does, what is left to be done
// at the vehicle. Of one on which nothing was taken apart nothing is stated.
func (w *Job) Driving() (list []Statement) {
	for _, c := range w.Corners {
		if s := w.undriven(c); s.Quantity != "" {
			s.About, s.Met, s.Sure, s.Safety = c.Subject, No, Reckoned, true
			list = append(list, s)
		}
	}
	if v := w.Vehicle.Scope.Vehicle; len(list) == 0 && w.apart() {
		for _, left := range []struct {
			is bool
			of Quantity
		}{
			{v.Bleed.Asked && !(v.Leak.Done && v.Leak.Dry), NoLeakCheck},
			{v.Bleed.Asked && !(v.Pedal.Done && v.Pedal.Firm), NoFirmPedal},
			{w.Vehicle.InServiceMode(), BrakeInService},
		} {
			if left.is {
				list = append(list, Statement{About: w.Vehicle.Subject, Quantity: left.of, Met: No, Sure: Reckoned, Safety: true})
			}
		}
	}
	return list
}

// apart reports whether something was taken apart at the vehicle, or fluid went
// in or out of it.
func (w *Job) apart() bool {
	return slices.ContainsFunc(w.Corners, func(c *Site) bool {
		off, back := c.corner.off()
		return len(off)+len(back) > 0 || c.Scope.Corner.Line.Touched || c.Scope.Corner.Bleed.Begun
	}) || w.Vehicle.Scope.Vehicle.Reservoir.RanDry
}

// undriven states what stands in the way at a corner; nothing if nothing does.
func (w *Job) undriven(c *Site) Statement {
	f, v := c.Scope.Corner, c.Scope.Vehicle
	off, back := c.corner.off()
	if len(off) > 0 {
		return Statement{Quantity: PartsOff, Value: words.And(off...)}
	}
	if len(c.Unfilled()) > 0 {
		return Statement{Quantity: PlaceEmpty}
	}
	if len(f.Line.Open) > 0 {
		return Statement{Quantity: LineOpen, Value: words.And(f.Line.Open...)}
	}
	for _, name := range slices.Sorted(maps.Keys(f.Joints)) {
		switch is := f.Joints[name]; {
		case !w.loosened(f, name, back):
		case !is.Done || !is.Complete:
			return Statement{Quantity: JointLoose, Of: c.corner.called(w.card, name)}
		case !is.Inside:
			return Statement{Quantity: JointNotProven, Of: c.corner.called(w.card, name)}
		}
	}
	switch {
	case slices.Contains(v.Bleed.Needs, f.Name):
		return Statement{Quantity: Unbled}
	case f.Wheel.Off && !(f.Wheel.Done && f.Wheel.TwoSteps):
		return Statement{Quantity: WheelLoose}
	case f.Wheel.Off && !(f.Wheel.Inside && f.Wheel.ToolGood):
		return Statement{Quantity: WheelNotProven}
	}
	return Statement{}
}

// off names the parts that came off the corner and are not back, and those that
// are back.
func (c *cornerWork) off() (off, back []string) {
	for _, p := range c.parts {
		if removed, _ := last[journal.Removal](p.events); removed == nil || !offVehicle(*removed) {
			continue
		}
		if p.refitted() == nil {
			off = append(off, string(p.part.ID))
		} else {
			back = append(back, p.base)
		}
	}
	return off, back
}

// loosened reports whether a joint of the card came loose at the corner: with a
// part that is back, or with its line.
func (w *Job) loosened(f *card.CornerFacts, name string, back []string) bool {
	is := w.card.Joints[name]
	if !f.Joints[name].Needed {
		return false
	}
	if is.Hydraulic {
		flare := f.Line.Flare || f.Line.Banjo && f.MakeUp.Line == string(journal.ByFlareNut)
		if jointOf(is.Names[0]) == torque.Banjo {
			return f.Line.Touched && f.Line.Banjo && !flare
		}
		return f.Line.Touched && flare
	}
	with := slices.Contains(back, is.Of) || slices.ContainsFunc(is.Beside, func(p string) bool { return slices.Contains(back, p) })
	return with && (f.Joints[name].Stated || is.Bolts > 0)
}
