package vin

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/sheet"
)

// Meant lists what may have been meant, with the characters that differ.
func (r Result) Meant() string {
	var list []string
	for _, s := range r.Suggestions {
		list = append(list, fmt.Sprintf("%s (%s)", s.VIN, s))
	}
	return strings.Join(list, ", or ")
}

// Sheet returns what the check digit says. One that differs proves nothing, since many
// vehicles have none.
func (r Result) Sheet() sheet.Sheet {
	s := sheet.Sheet{Formula: []string{
		"each character has a value and each position a weight; the sum of the products, divided by 11, leaves the check digit, and X stands for 10",
		"49 CFR 565.15; characters and length as in ISO 3779",
	}}
	if r.VIN.IsZero() {
		s.Find(r.Note)
		return s
	}
	digit := string(r.Digit)
	s.Put("vin", r.VIN.String())
	s.Tell("sum", "weighted sum", r.Sum, "%d, which leaves %s", r.Sum, digit)
	s.Put("check_digit", digit, "fits", r.Fits)
	s.Say("position 9", "%c", r.VIN[checkPosition])
	var suggestions [][]sheet.Result
	for _, meant := range r.Suggestions {
		var one sheet.Sheet
		one.Tell("vin", "it may be", meant.VIN.String(), "%s (%s)", meant.VIN, meant)
		one.Put("swaps", meant.String())
		suggestions = append(suggestions, one.Results)
	}
	s.Put("suggestions", suggestions)
	s.Limit("position 9", sheet.Words(digit), "49 CFR 565.15; required for vehicles built for North America only", "")
	if r.Fits {
		s.Judge(true, "the check digit fits")
	} else {
		s.Find(r.Note)
	}
	return s
}
