package card_test

import (
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal/card"
	"fettlebook/journal/trade/unit"
)

// limited is the text of a card with one limit and one rule.
func limited(limit, rule string) string {
	return fmt.Sprintf(`name: small
edition: 1
title: A small card
limits:
  most: %s
stages:
  - name: one
    title: A stage
    level: part
    holds:
      - id: one-hold
        title: A hold
        class: safety
        rule: %s
        reason: A reason.
        limit: at most {most}
        source: "shop default"
`, limit, rule)
}

// A limit is held against facts in their unit, whatever unit the card gives it
// in, and is printed as the card has it.
func TestLimitsInTheUnitOfTheFact(t *testing.T) {
	lbin, err := unit.Parse[unit.Torque]("168 lb·in")
	if err != nil {
		t.Fatal(err)
	}
	screw := func(is float64) card.Scope {
		return card.Scope{Corner: &card.CornerFacts{Screw: card.ScrewFacts{Torque: is}}}
	}
	wheel := func(is float64, nuts int) card.Scope {
		return card.Scope{Corner: &card.CornerFacts{Wheel: card.WheelFacts{Torque: is, Nuts: nuts}}}
	}
	open := func(days float64) card.Scope {
		return card.Scope{Vehicle: &card.VehicleFacts{Fluid: card.FluidFacts{OpenDays: days}}}
	}
	road := func(km float64) card.Scope {
		return card.Scope{Vehicle: &card.VehicleFacts{Road: card.RoadFacts{Km: km}}}
	}
	second := func(minutes, seconds float64) card.Scope {
		return card.Scope{Vehicle: &card.VehicleFacts{Second: card.SecondFacts{Minutes: minutes}, Leak: card.LeakFacts{Seconds: seconds}}}
	}
	dew := func(k float64) card.Scope { return card.Scope{Part: &card.PartFacts{Dew: card.DewFacts{Margin: k}}} }
	for _, test := range []struct {
		limit, rule string
		on          card.Scope
		right       bool
		printed     string
	}{
		{"{is: 168, unit: lb·in}", "corner.screw.torque <= limits.most", screw(lbin.In(unit.NewtonMetre)), true, "at most 168 lb·in"},
		{"{is: 168, unit: in-lb}", "corner.screw.torque <= limits.most", screw(19.1), false, "at most 168 in-lb"},
		{"{is: 168, unit: lb·in}", "!(limits.most < corner.screw.torque)", screw(19.1), false, "at most 168 lb·in"},
		{"{is: 19, unit: N·m}", "corner.screw.torque <= limits.most", screw(19), true, "at most 19 N·m"},
		{"{is: 19}", "corner.screw.torque <= limits.most", screw(19.5), false, "at most 19"},
		{"{is: 80, unit: lbf.ft}", "corner.wheel.torque + 1.0 >= limits.most", wheel(107, 5), false, "at most 80 lbf.ft"},
		{"{is: 80, unit: lbf.ft}", "corner.wheel.torque >= (corner.wheel.nuts > 4 ? limits.most : 0.0)", wheel(107, 5), false, "at most 80 lbf.ft"},
		{"{is: 80, unit: lbf.ft}", "corner.wheel.torque >= limits.most * 1.3558", wheel(109, 5), true, "at most 80 lbf.ft"},
		{"{is: 5, unit: nuts}", "corner.wheel.nuts >= limits.most", wheel(0, 5), true, "at most 5 nuts"},
		{"{is: 2, unit: d}", "vehicle.fluid.open_days <= limits.most", open(2), true, "at most 2 d"},
		{"{is: 48, unit: h}", "vehicle.fluid.open_days <= limits.most", open(2.1), false, "at most 48 h"},
		{"{is: 2, unit: days}", "vehicle.fluid.open_days <= limits.most", open(2), true, "at most 2 days"},
		{"{is: 1, unit: mi}", "vehicle.road.km >= limits.most", road(1.5), false, "at most 1 mi"},
		{"{is: 0.5, unit: h}", "vehicle.second.minutes >= limits.most", second(29, 0), false, "at most 0.5 h"},
		{"{is: 1, unit: min}", "vehicle.leak.seconds >= limits.most", second(0, 59), false, "at most 1 min"},
		{"{is: 9, unit: °F}", "part.dew.margin >= limits.most", dew(5), true, "at most 9 °F"},
	} {
		text := limited(strings.TrimSuffix(test.limit, "}")+`, source: "shop default"}`, `"`+test.rule+`"`)
		read, err := card.Parse(text)
		if err != nil {
			t.Errorf("%s, %s: %v", test.limit, test.rule, err)
			continue
		}
		_, h := read.Hold("one-hold")
		right, err := h.Right(test.on)
		if right != test.right || err != nil {
			t.Errorf("%s, %s: %t, %v", test.limit, test.rule, right, err)
		}
		if said := read.Say(h.Limit, unit.System{}); said != test.printed {
			t.Errorf("%s is printed %q", test.limit, said)
		}
	}
}

// A card that was published before is read although a limit of it fits no fact;
// what asks for that limit is not met, and says why.
func TestHeldCardWithALimitThatFitsNothing(t *testing.T) {
	text := limited(`{is: 14, unit: lb, source: "shop default"}`, "corner.screw.torque <= limits.most")
	if _, err := card.Parse(text); err == nil {
		t.Error("it can be published")
	}
	var shelf card.Shelf
	read, err := shelf.Take(text)
	if err != nil {
		t.Fatal(err)
	}
	_, h := read.Hold("one-hold")
	right, err := h.Right(card.Scope{Corner: &card.CornerFacts{Screw: card.ScrewFacts{Torque: 10}}})
	if right || err == nil || !strings.Contains(err.Error(), "limit most: a rule compares this limit with corner.screw.torque, which is in N·m") {
		t.Errorf("it is %t, %v", right, err)
	}
	if said := read.Say(h.Limit, unit.System{}); said != "at most 14 lb" {
		t.Errorf("it is printed %q", said)
	}
}

// The unit of each fact is one that limits can be given in.
func TestUnitsOfFacts(t *testing.T) {
	for _, f := range card.Vocabulary() {
		if f.Unit == "" {
			continue
		}
		if f.Type != "double" {
			t.Errorf("%s is a %s with a unit", f.Path, f.Type)
		}
		if _, err := card.Parse(limited(fmt.Sprintf(`{is: 1, unit: %s, source: "shop default"}`, f.Unit), f.Path+" <= limits.most")); err != nil {
			t.Errorf("%s: %v", f.Path, err)
		}
	}
}
