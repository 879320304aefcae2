package dew

import (
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// Sheet returns the verdict with all of its figures.
func (r Result) Sheet() sheet.Sheet {
	s := sheet.Sheet{
		Formula:  []string{"Td = B·γ/(A − γ), γ = ln(RH/100) + A·T/(B + T), A = 17.625, B = 243.04 °C", r.Formula},
		Warnings: r.Warnings,
	}
	s.Put("air_c", r.Read.Air.In(unit.Celsius), "humidity_percent", r.Read.Humidity.In(unit.Percent), "metal_c", r.Read.Metal.In(unit.Celsius))
	s.Figure("dew_point_c", "dew point", r.DewPoint, 1, "°C")
	s.Figure("margin_k", "metal above it", r.Margin, 1, "K")
	s.Put("wanted_k", r.Wanted, "pass", r.Pass)
	s.Limit("metal above the dew point", sheet.AtLeast(r.Wanted, 1, "K"), r.WantedSource, "margin")
	s.Judge(r.Pass, r.Say())
	return s
}
