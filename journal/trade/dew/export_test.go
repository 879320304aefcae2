package dew

import "fettlebook/journal/trade/unit"

// Point is the dew point in °C, which is checked against printed tables.
func Point(air unit.Temperature, humidity unit.Ratio) (celsius float64, err error) {
	return Reading{Air: air, Humidity: humidity}.point()
}
