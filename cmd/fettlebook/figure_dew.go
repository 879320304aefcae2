package main

import (
	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/unit"
)

type figureDew struct {
	Air      entered `required:"" help:"The air's temperature where the part hangs." placeholder:"\"20 °C\""`
	Humidity entered `required:"" help:"Its relative humidity." placeholder:"\"60 %\""`
	Metal    entered `required:"" help:"The temperature of the part itself." placeholder:"\"21 °C\""`
	Margin   entered `help:"How far the metal must lie above the dew point (default: 3 K, the usual rule)." placeholder:"\"3 K\""`
	JSON     bool    `name:"json" help:"Print JSON."`
}

// dewFigure is the JSON of a dew point.
type dewFigure struct {
	worksheet
	AirC            float64 `json:"air_c"`
	HumidityPercent float64 `json:"humidity_percent"`
	MetalC          float64 `json:"metal_c"`
	DewPointC       float64 `json:"dew_point_c"`
	MarginK         float64 `json:"margin_k"` // by which the metal is warmer than the dew point
	WantedK         float64 `json:"wanted_k"`
	Pass            bool    `json:"pass"`
}

// Run prints the dew point.
func (c *figureDew) Run(t *terminal) error {
	f, err := c.work()
	return answer(t, c.JSON, f, err)
}

func (c *figureDew) work() (*dewFigure, error) {
	f := &dewFigure{worksheet: worksheet{Figure: "dew"}}
	in := intake{worksheet: &f.worksheet}
	air := quantity(&in, "air", c.Air, unit.Celsius, 2)
	humidity := quantity(&in, "humidity", c.Humidity, unit.Percent, 1)
	metal := quantity(&in, "metal", c.Metal, unit.Celsius, 2)
	margin := quantity(&in, "margin", c.Margin, unit.Kelvin, 2)
	if in.err != nil {
		return nil, in.err
	}
	r, err := dew.Judge(air, humidity, metal, margin)
	if err != nil {
		return nil, err
	}
	f.Formula = []string{"Td = B·γ/(A − γ), γ = ln(RH/100) + A·T/(B + T), A = 17.625, B = 243.04 °C", r.Formula}
	f.AirC, f.HumidityPercent, f.MetalC = air.In(unit.Celsius), humidity.In(unit.Percent), metal.In(unit.Celsius)
	f.DewPointC, f.MarginK, f.WantedK, f.Pass = r.DewPoint, r.Margin, r.Wanted, r.Pass
	f.result("dew point", "%s", unit.Format(r.DewPoint, unit.Celsius, 1))
	f.result("metal above it", "%s", unit.Format(r.Margin, unit.Kelvin, 1))
	f.Limits = []limit{{"metal above the dew point", "at least " + unit.Format(r.Wanted, unit.Kelvin, 1), r.WantedSource, "--margin"}}
	f.Warnings, f.Verdict = r.Warnings, []string{r.Say()}
	return f, nil
}
