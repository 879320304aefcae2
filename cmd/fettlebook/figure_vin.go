package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/vin"
)

type figureVIN struct {
	VIN  string `arg:"" name:"vin" help:"The vehicle identification number; spaces and hyphens are left out."`
	JSON bool   `name:"json" help:"Print JSON."`
}

type (
	// vinFigure is the JSON of a check digit.
	vinFigure struct {
		worksheet
		VIN         string       `json:"vin"`         // in capitals, without spaces and hyphens
		Sum         int          `json:"sum"`         // the weighed sum
		CheckDigit  string       `json:"check_digit"` // that fits, 0 to 9 or X
		Fits        bool         `json:"fits"`        // position 9 is that digit
		Suggestions []vinReading `json:"suggestions"` // look-alikes whose digit fits, likeliest first
	}

	// vinReading is what may have been meant.
	vinReading struct {
		VIN   string `json:"vin"`
		Swaps string `json:"swaps"` // such as "position 10: 5 instead of S"
	}
)

// Run prints the check digit.
func (c *figureVIN) Run(t *terminal) error {
	f, err := c.work()
	return answer(t, c.JSON, f, err)
}

func (c *figureVIN) work() (*vinFigure, error) {
	r := vin.Check(c.VIN)
	var meant []string
	f := &vinFigure{worksheet: worksheet{Figure: "vin"}, VIN: r.VIN.String(), Sum: r.Sum, Fits: r.Fits}
	for _, s := range r.Suggestions {
		f.Suggestions = append(f.Suggestions, vinReading{s.VIN.String(), s.String()})
		meant = append(meant, fmt.Sprintf("%s (%s)", s.VIN, s))
	}
	if r.VIN.IsZero() {
		sentence := fmt.Sprintf("%q: %s", c.VIN, r.Note)
		if len(meant) > 0 {
			sentence += "; it may be " + strings.Join(meant, ", or ")
		}
		return nil, fmt.Errorf("%s", sentence)
	}
	f.CheckDigit = string(r.Digit)
	f.Formula = []string{
		"each character has a value and each position a weight; the sum of the products, divided by 11, leaves the check digit, and X stands for 10",
		"49 CFR 565.15; characters and length as in ISO 3779",
	}
	f.Inputs = []input{{"VIN", c.VIN, r.VIN.String()}}
	f.result("weighed sum", "%d, which leaves %s", r.Sum, f.CheckDigit)
	f.result("position 9", "%c", r.VIN[8])
	for _, m := range meant {
		f.result("it may be", "%s", m)
	}
	f.Limits = []limit{{"position 9", f.CheckDigit, "49 CFR 565.15; required for vehicles built for North America only", ""}}
	f.Verdict = []string{"the check digit fits"}
	if !r.Fits {
		f.Verdict = []string{r.Note}
	}
	return f, nil
}
