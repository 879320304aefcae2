package main

import (
	"fmt"

	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

// unsaid are the flags for what a recorder's file may leave unsaid.
type unsaid struct {
	Readings string `help:"The unit of the readings, where the file does not say: °C or °F." placeholder:"°C"`
	Times    string `help:"The unit of elapsed times, where the file does not say: ms, s, min or h." placeholder:"min"`
	Dates    string `enum:",day first,month first" default:"" help:"How dates such as 03/04/2026 are read: day first or month first." placeholder:"\"day first\""`
}

func (u unsaid) format() (recorder.Format, error) {
	f := recorder.Format{Time: recorder.TimeUnit(u.Times), Dates: recorder.DateOrder(u.Dates)}
	if u.Readings != "" {
		one, err := unit.Parse[unit.Temperature]("0 " + u.Readings)
		if err != nil {
			return f, fmt.Errorf("readings in %q: this is not a unit of temperature: write °C or °F", u.Readings)
		}
		f.Scale = bake.Scale(one.Unit().String())
	}
	return f, nil
}
