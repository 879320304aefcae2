package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
)

// Units is the data of units.chosen: in which units the shop works from now
// on. What was typed before, and what is typed later in another unit, stays as
// it was typed.
type Units struct {
	Units unit.System `json:"units"`
	Evidence
}

func (*Units) Kind() Kind { return UnitsChosen }

func (p *Units) Say() string {
	u := p.Units
	name := "units of its own"
	if named := u.Name(); named != "" {
		name = named + " units"
	}
	return fmt.Sprintf("the shop works in %s: torque %s, small joints %s, temperature %s, its differences %s, pressure %s, film %s, other lengths %s, volume %s, distance %s, mass %s",
		name, u.Torque, u.SmallTorque, u.Temperature, u.Difference, u.Pressure, u.Film, u.Length, u.Volume, u.Distance, u.Mass)
}
