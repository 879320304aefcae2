package figure_test

import (
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

func bracketBolts(reading string) *journal.Torque {
	return &journal.Torque{Joint: "bracket bolts", Torque: q[unit.Torque](reading), Tool: "tw-1", Spec: "bracket", Count: 2}
}

// 105 N·m with a tool of ±4 % (ISO 6789-1:2017, tools above 10 N·m) is 100.8
// to 109.2 N·m.
func TestTorqueOnTheCard(t *testing.T) {
	b := newBench(t)
	b.tagged("iron", at("LF", "bracket"))
	b.write(at("LF", "bracket"), &journal.Refitting{Bleeder: "none"})
	f := b.supposed(at("LF", "bracket"), bracketBolts("105 N.m"))
	says(t, f,
		"met! LF, bracket bolt torque: bracket bolts: 105 N.m is inside 98.0 N·m to 112.0 N·m with the tool’s ±4 % to either side, 100.8 N·m to 109.2 N·m (maker's manual, 4-17)",
		"[Asked: inside the recorded figure, with a registered tool in calibration on that day. Source: the figure’s own source; ISO 6789 for the tool]",
		"tw-1 is marked 40 N.m to 200 N.m, ±4 %; last checked on 2 March 2026, next due on 30 September 2027 or after 800 uses; with this one 2 since",
	)
	if n := strings.Count(said(f), "is inside"); n != 1 {
		t.Errorf("the verdict is given %d times", n)
	}
	if f.Caution == "" {
		t.Error("it does not say whose figures come first")
	}
	f = b.supposed(at("LF", "bracket"), bracketBolts("60 N.m"))
	says(t, f, "broken! LF, bracket bolt torque:", "60 N.m is outside 98.0 N·m to 112.0 N·m", "with this one 4 since")
	if f.Say[0].State != "broken" || !f.Say[0].Safety {
		t.Errorf("first comes %+v", f.Say[0])
	}
}

// A joint that no hold point knows is judged in the same way.
func TestTorqueBesideTheCard(t *testing.T) {
	b := newBench(t)
	inside := bracketBolts("105 N.m")
	inside.Joint = "stay of the hose"
	says(t, b.supposed(at("LF", ""), inside), "met! stay of the hose: 105 N.m is inside 98.0 N·m to 112.0 N·m", "the maker’s figure comes first. Source: maker's manual, 4-17")
	strange := bracketBolts("105 N.m")
	strange.Joint, strange.Tool = "stay of the hose", "tw-9"
	says(t, b.supposed(at("LF", ""), strange), "broken! the tool tw-9 is not registered", "broken! stay of the hose: 105 N.m is not proven")
	none := bracketBolts("105 N.m")
	none.Joint, none.Spec = "stay of the hose", ""
	says(t, b.supposed(at("LF", ""), none), "there is no specification for the joint")
}

// Equal force on both levers: 380 mm to the grip and 50 mm to the bolt give the
// bolt 430/380 of the reading, and 105 N·m at the bolt want 92.8 N·m.
func TestAdapter(t *testing.T) {
	b := newBench(t)
	d := bracketBolts("92.8 N.m")
	d.Joint, d.Adapter = "stay of the hose", &journal.Adapter{Wrench: q[unit.Length]("380 mm"), Offset: q[unit.Length]("50 mm")}
	says(t, b.supposed(at("LF", ""), d), "92.8 N.m at the tool is 105.0 N·m at the bolt; for 105 N.m at the bolt the tool is set to 92.8 N·m")
}

func TestToolOutOfCheck(t *testing.T) {
	b := newBench(t)
	tight := b.write(at("LF", "bracket"), bracketBolts("105 N.m"))
	b.write("tool/tw-1", &journal.ToolCheck{Tool: "tw-1", Result: "adjusted, was out", Due: "2027-09-30"})
	says(t, b.of(tight), "broken!", "a later check found the tool tw-1 adjusted, was out")
	b.watch.Advance(2 * 365 * 24 * time.Hour)
	says(t, b.supposed(at("LF", "bracket"), bracketBolts("105 N.m")), "the tool’s calibration ran out on 30 September 2027")
}

// No figure of the maker is on record for wheel nuts and bleeder screws.
func TestBoltsWithoutAFigure(t *testing.T) {
	b := newBench(t)
	f := b.supposed(at("LF", ""), &journal.WheelFit{Step: "full, wheel on the ground", Nuts: 5, Pattern: "star", Torque: q[unit.Torque]("105 N.m"), Tool: "tw-1"})
	says(t, f, "105 N.m on each of 5 nuts is 100.8 N·m to 109.2 N·m with the tool’s ±4 %; compare it with the maker’s figure", "with this one 5 since", "open! Wheel tightened in two steps: 5 nuts at 105 N.m on the ground")
	f = b.supposed(at("LF", ""), &journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume]("100 mL"), Bubbles: "none", Screw: q[unit.Torque]("12 N.m"), Tool: "tw-1"})
	says(t, f, "12 N.m lies outside what is marked on tw-1, 40 N.m to 200 N.m")
	f = b.supposed(at("", ""), &journal.Retorque{Torque: q[unit.Torque]("105 N.m"), Tool: "tw-1", Moved: true})
	says(t, f, "each wheel nut is 100.8 N·m to 109.2 N·m", "a nut turned")
}

// The level falls by what is drawn and rises by what is added, once somebody
// wrote how much lies between MIN and MAX; one top-up does not tell it.
func TestReservoir(t *testing.T) {
	b := newBench(t)
	look := func(before, after string) *journal.Reservoir {
		return &journal.Reservoir{Before: q[unit.Ratio](before), After: q[unit.Ratio](after), Added: q[unit.Volume]("90 mL"), Fluid: "bf-31"}
	}
	bleed := func(drawn string) *journal.Bleed {
		return &journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume](drawn), Bubbles: "none"}
	}
	b.write(at("RF", ""), &journal.LineOpening{At: "banjo"})
	b.write(at("LF", ""), &journal.LineOpening{At: "banjo"})
	b.write(at("RF", ""), &journal.LineConnection{At: "banjo"})
	b.write(at("LF", ""), &journal.LineConnection{At: "banjo"})
	guessed := b.supposed(at("RF", ""), bleed("100 mL"))
	if guessed.Chart != "" {
		t.Error("a balance is drawn of a reservoir whose volume nobody wrote")
	}
	first := look("60 %", "90 %")
	first.Span = q[unit.Volume]("300 mL")
	f := b.supposed(at("", ""), first)
	if f.Chart != "" {
		t.Error("a balance of nothing is drawn")
	}
	f = b.supposed(at("RF", ""), bleed("100 mL"))
	says(t, f, "LF must be bled: ", "100 mL drawn, 0 mL added, at the end 170 mL above MIN", "DOT 4 from bf-31 is to be used by 1 April 2026, in 30 days")
	f = b.supposed(at("", ""), look("57 %", "87 %"))
	says(t, f, "100 mL drawn, 90 mL added, at the end 261 mL above MIN")
	f = b.supposed(at("LF", ""), bleed("300 mL"))
	says(t, f, "bleeding LF took the reservoir 39 mL below MIN")
	if f.Chart == "" || len(f.Table.Rows) != 4 || f.Table.Rows[3][3] != "-39 mL" {
		t.Errorf("the table is %q", f.Table.Rows)
	}
	if n := strings.Count(said(f), "took the reservoir 39 mL below MIN"); n != 1 {
		t.Errorf("it is said %d times in\n%s", n, said(f))
	}
}

// Boiling points of DOT 4: 49 CFR 571.116, S5.1.1 and S5.1.2.
func TestFluid(t *testing.T) {
	b := newBench(t)
	says(t, b.supposed("fluid/bf-77", &journal.FluidContainer{Fluid: "bf-77", Grade: "DOT 4", UseBy: "2026-02-20"}),
		"230", "155", "broken! DOT 4 from bf-77 was to be used by 20 February 2026, 10 days ago")
}

// 00FAH59H35G118341 is invented: no region has the code 0. Its check digit is 3.
func TestVIN(t *testing.T) {
	b := newBench(t)
	open := func(vin string) *journal.Job { return &journal.Job{Vehicle: journal.Vehicle{VIN: vin, Plate: "HX 41"}} }
	says(t, b.supposed("job/2222kk2m", open("00FAH59H35G118341")), "the VIN’s check digit 3 fits")
	says(t, b.supposed("job/3333kk2m", open("00FAH59H3SG118341")), "compare every character with the plate", "It may be 00FAH59H35G118341 (position 10: 5 instead of S)")
	if f := b.supposed("job/4444kk2m", open("")); !f.IsZero() {
		t.Errorf("without a VIN it says\n%s", said(f))
	}
}
