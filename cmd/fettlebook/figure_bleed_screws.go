package main

import (
	"fmt"
	"strconv"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/bleed"
)

// bleeders reads which bleeder screws the corners have: "RF: inner, outer" or
// "RF: 2".
func (c *figureBleed) bleeders(in *intake) (map[bleed.Corner]bleed.Bleeders, error) {
	fitted := make(map[bleed.Corner]bleed.Bleeders)
	for _, text := range c.Screws {
		in.typed("screws", text)
		at, what, _ := strings.Cut(text, ":")
		corner, is := bleed.Corner(strings.ToUpper(strings.TrimSpace(at))), bleed.Bleeders{}
		if n, err := strconv.Atoi(strings.TrimSpace(what)); err == nil {
			is.Count = n
		} else {
			for _, name := range strings.Split(what, ",") {
				is.Names = append(is.Names, journal.Called(name))
			}
		}
		if err := is.Check(corner); err != nil {
			return nil, fmt.Errorf("screws %q: %w", text, err)
		}
		if _, twice := fitted[corner]; twice {
			return nil, fmt.Errorf("screws %q: those of %s are given twice; keep one of them", text, corner)
		}
		fitted[corner] = is
	}
	return fitted, nil
}

// bledOf is a corner that was bled: as a whole, or at the bleeder screw that is
// named, or at so many of them.
func bledOf(corner bleed.Corner, which string, fitted map[bleed.Corner]bleed.Bleeders) (bleed.Event, error) {
	if which == "" {
		return bleed.Bled(corner), nil
	}
	is, known := fitted[corner]
	if !known {
		return bleed.Event{}, fmt.Errorf("bleed %s %s: say which bleeder screws %s has, with --screws", corner, which, corner)
	}
	at := bleed.Screws{Which: journal.Called(which)}
	if n, err := strconv.Atoi(which); err == nil {
		at = bleed.Screws{Many: n}
	}
	return bleed.BledAt(corner, at), is.Have(corner, at)
}
