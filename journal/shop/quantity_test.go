package shop_test

import (
	"fettlebook/journal/trade/unit"
)

type (
	unitTemperature = unit.Temperature
	unitTorque      = unit.Torque
	unitDistance    = unit.Distance
	unitDuration    = unit.Duration
)

// quantity reads a quantity as typed.
func quantity[Q any, P interface {
	*Q
	UnmarshalText([]byte) error
}](text string) Q {
	var q Q
	if err := P(&q).UnmarshalText([]byte(text)); err != nil {
		panic(err)
	}
	return q
}
