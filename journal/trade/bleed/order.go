// Package bleed says in which order the brakes of a vehicle are bled, what the reservoir
// held meanwhile, which corners still have air to lose, and which fluids may meet.
//
// It promises that the vehicle's manual wins over every rule of thumb; that a corner
// whose line was opened after its last bleeding is never complete; and that a
// reservoir that ran dry sends every corner back to the start.
//
//	order, err := bleed.OrderOf(bleed.Vehicle{Driver: bleed.Left, Split: bleed.FrontRear})
//	order.Say() // "bleed RR, LR, RF, LF: farthest from the master cylinder first …"
//
//	state, err := bleed.Complete([]bleed.Event{
//		bleed.Opened(bleed.RR, "banjo"), bleed.Closed(bleed.RR, "banjo"), bleed.Bled(bleed.RR),
//	}, order.Corners)
//	state.Complete // true
package bleed

import (
	"fmt"
	"slices"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/words"
)

// Corner is a wheel's brake as seen by the driver. The zero Corner is none.
type Corner string

// The corners.
const (
	LF Corner = "LF"
	RF Corner = "RF"
	LR Corner = "LR"
	RR Corner = "RR"
)

func corners() []Corner { return []Corner{LF, RF, LR, RR} }

// check refuses what is not a corner.
func (c Corner) check() error {
	if slices.Contains(corners(), c) {
		return nil
	}
	return sheet.Refuse("the corner", fmt.Sprintf("%q", string(c)), "it must be LF, RF, LR or RR, as seen by the driver")
}

// Error says why something cannot be judged.
type Error = sheet.Error

// Side is where the driver sits, and with the driver the master cylinder.
type Side string

// The sides.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Split is which wheels share a circuit.
type Split string

// The splits.
const (
	FrontRear Split = "front and rear"
	Diagonal  Split = "diagonal"
)

type (
	// Vehicle is what decides the order. Manual is the order that the vehicle's manual
	// gives; it wins, and Driver and Split may then be left empty.
	Vehicle struct {
		Driver Side
		Split  Split
		Manual []Corner
	}

	// Order is an order of bleeding and where it comes from.
	Order struct {
		Corners  []Corner
		Source   string
		Warnings []string
	}
)

// OrderOf returns the order for a vehicle: its manual's, or else farthest from the
// master cylinder first, and with a diagonal split each rear wheel followed by the
// front wheel of its circuit. Errors are of type *Error.
func OrderOf(v Vehicle) (Order, error) {
	if len(v.Manual) > 0 {
		return fromManual(v.Manual)
	}
	o := Order{
		Corners: []Corner{RR, LR, RF, LF}, Source: "farthest from the master cylinder first, shop default",
		Warnings: []string{
			"makers differ, and some begin with the nearest wheel: look the order up in the vehicle’s manual",
			"ABS may need a cycle with a scan tool: see the vehicle’s manual",
		},
	}
	switch v.Split {
	case FrontRear:
	case Diagonal:
		o.Corners = []Corner{RR, LF, LR, RF}
		o.Source = "circuit by circuit, farthest wheel first, shop default"
	default:
		return Order{}, sheet.Refuse("the split", fmt.Sprintf("%q", string(v.Split)), "say front and rear, or diagonal, or give the order of the manual")
	}
	switch v.Driver {
	case Left:
	case Right:
		for i, c := range o.Corners {
			o.Corners[i] = c.mirrored()
		}
	default:
		return Order{}, sheet.Refuse("the driver’s side", fmt.Sprintf("%q", string(v.Driver)), "say left or right, or give the order of the manual")
	}
	return o, nil
}

func fromManual(order []Corner) (Order, error) {
	seen := map[Corner]bool{}
	for _, c := range order {
		if err := c.check(); err != nil {
			return Order{}, err
		}
		if seen[c] {
			return Order{}, sheet.Refuse("the manual’s order", words.Commas(order...), string(c)+" is named twice: name each corner once")
		}
		seen[c] = true
	}
	if len(seen) != len(corners()) {
		return Order{}, sheet.Refuse("the manual’s order", words.Commas(order...), "name all four corners")
	}
	return Order{Corners: slices.Clone(order), Source: "the vehicle’s manual"}, nil
}

func (c Corner) mirrored() Corner {
	switch c {
	case LF:
		return RF
	case RF:
		return LF
	case LR:
		return RR
	case RR:
		return LR
	}
	return c
}

// Say returns the order as one sentence.
func (o Order) Say() string { return "bleed " + words.Commas(o.Corners...) + ": " + o.Source }
