package main

import (
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

type figureDew struct {
	Air      entered `required:"" help:"The air’s temperature where the part hangs." placeholder:"\"20 °C\""`
	Humidity entered `required:"" help:"Its relative humidity." placeholder:"\"60 %\""`
	Metal    entered `required:"" help:"The temperature of the part itself." placeholder:"\"21 °C\""`
	Margin   entered `help:"How far the metal must lie above the dew point (default: 3 K, the usual rule)." placeholder:"\"3 K\""`
	JSON     bool    `name:"json" help:"Print JSON."`
}

// Run prints the dew point.
func (c *figureDew) Run(t *terminal) error { return t.figure("dew", c.JSON, c.work) }

func (c *figureDew) work(in *intake) (sheet.Sheet, error) {
	r, err := dew.Judge(dew.Reading{
		Air: quantity(in, "air", c.Air, unit.Celsius, 2), Humidity: quantity(in, "humidity", c.Humidity, unit.Percent, 1),
		Metal: quantity(in, "metal", c.Metal, unit.Celsius, 2), Margin: quantity(in, "margin", c.Margin, unit.Kelvin, 2)})
	return r.Sheet(), err
}
