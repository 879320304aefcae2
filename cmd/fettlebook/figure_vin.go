package main

import (
	"fmt"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/vin"
)

type figureVIN struct {
	VIN  string `arg:"" name:"vin" help:"The vehicle identification number; spaces and hyphens are left out."`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run prints the check digit.
func (c *figureVIN) Run(t *terminal) error { return t.figure("vin", c.JSON, c.work) }

func (c *figureVIN) work(in *intake) (sheet.Sheet, error) {
	r := vin.Check(c.VIN)
	if r.VIN.IsZero() {
		if len(r.Suggestions) > 0 {
			return sheet.Sheet{}, fmt.Errorf("%q: %s; it may be %s", c.VIN, r.Note, r.Meant())
		}
		return sheet.Sheet{}, fmt.Errorf("%q: %s", c.VIN, r.Note)
	}
	in.note(sheet.Input{Name: "VIN", Typed: c.VIN, TakenAs: r.VIN.String()})
	return r.Sheet(), nil
}
