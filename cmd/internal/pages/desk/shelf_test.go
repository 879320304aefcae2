package desk_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

func q(text string) (t unit.Torque) {
	if err := t.UnmarshalText([]byte(text)); err != nil {
		panic(err)
	}
	return t
}

// What is past its date comes first and says so. The shop's day is 2 March 2026.
func TestDates(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	for i, c := range []struct {
		useBy journal.Date
		says  string
	}{
		{"", "no date"},
		{"2027-03-02", "2 March 2027, in 365 days"},
		{"2026-03-03", "tomorrow is the last day"},
		{"2026-03-02", "today is the last day"},
		{"2026-03-01", "past since 1 March 2026"},
		{"2025-12-31", "past since 31 December 2025"},
	} {
		o.Write(journal.Of("lot", fmt.Sprintf("pw-%d", i)), "io", &journal.PowderLot{Lot: journal.LotID(fmt.Sprintf("pw-%d", i)), Chemistry: "epoxy", Colour: "grey", UseBy: c.useBy})
		o.get(fmt.Sprintf("/shelf/lot/pw-%d", i)).well(http.StatusOK).says(c.says, "It has not been used yet.")
	}
	body := o.get("/shelf").well(http.StatusOK).body
	at := -1
	for i := 5; i >= 0; i-- {
		here := strings.Index(body, fmt.Sprintf(">pw-%d<", i))
		if here < at {
			t.Errorf("lot pw-%d comes too early", i)
		}
		at = here
	}
}

func TestToolChecks(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	tool := journal.Of("tool", "tw-1")
	o.Write(tool, "io", &journal.Tool{Tool: "tw-1", What: "torque wrench"})
	o.get("/shelf").well(http.StatusOK).says("never checked")
	o.Write(tool, "io", &journal.ToolCheck{Tool: "tw-1", Result: "in tolerance", Due: "2027-03-01", Cycles: 2})
	job := journal.About("4f7kk2m9", "", "")
	o.Write(job, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	o.Write(journal.About("4f7kk2m9", "LF", ""), "io", &journal.Torque{Joint: "banjo bolt", Torque: q("27 N.m"), Tool: "tw-1"})
	struck := o.Write(journal.About("4f7kk2m9", "RF", ""), "io", &journal.Torque{Joint: "banjo bolt", Torque: q("28 N.m"), Tool: "tw-1"})
	o.get("/shelf/tool/tw-1").well(http.StatusOK).says("2 of 2 uses since its check", "mark wrong", "/write/tool.checked/tool/tw-1?tool=tw-1")
	o.Write(journal.About("4f7kk2m9", "RF", ""), "io", &journal.Correction{Of: struck, Reason: "it was tw-2"})
	o.get("/shelf/tool/tw-1").well(http.StatusOK).says("1 of 2 uses since its check", "1 use · 0 parts · 1 job").hides("mark wrong")
	o.Write(tool, "io", &journal.ToolCheck{Tool: "tw-1", Result: "out of tolerance"})
	o.get("/shelf/tool/tw-1").well(http.StatusOK).says("out of tolerance at its check of 2 March 2026: do not use it")
	// Named by an entry before the register knows of it.
	o.Write(job, "io", &journal.Reservoir{Before: ratio("50 %"), After: ratio("90 %"), Fluid: "bf-9"})
	o.get("/shelf/fluid/bf-9").well(http.StatusOK).says("not on the register yet")
	o.get("/shelf").well(http.StatusOK)
}

func ratio(text string) (r unit.Ratio) {
	if err := r.UnmarshalText([]byte(text)); err != nil {
		panic(err)
	}
	return r
}

// A machine is not checked but serviced.
func TestMachines(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	oven := journal.Of("tool", "oven-1")
	o.Write(oven, "io", &journal.Tool{Tool: "oven-1", What: journal.Oven})
	o.get("/shelf").well(http.StatusOK).says("“oven surveyed” is not on record")
	survey := journal.Service{Tool: "oven-1", Done: journal.OvenSurveyed, On: "2026-02-01", Set: celsius("200 °C"), Places: []journal.SurveyedPlace{{Place: "middle", Reads: celsius("201 °C")}, {Place: "door", Reads: celsius("194 °C")}}}
	o.Write(oven, "io", &survey)
	o.get("/shelf/tool/oven-1").well(http.StatusOK).says("oven surveyed on 1 February 2026; due: 1 February 2027, in 336 days", "/write/equipment.serviced/tool/oven-1?tool=oven-1")
	o.Write(oven, "io", &journal.Service{Tool: "oven-1", Done: journal.OvenRepaired})
	o.get("/shelf").well(http.StatusOK).says("repaired since its survey", "mark wrong")
}

func celsius(text string) (t unit.Temperature) {
	if err := t.UnmarshalText([]byte(text)); err != nil {
		panic(err)
	}
	return t
}

// A check without a date holds for the usual year, and a wrench is used once
// for each nut.
func TestToolIsSpent(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	tool := journal.Of("tool", "tw-1")
	o.Write(tool, "io", &journal.Tool{Tool: "tw-1", What: journal.TorqueWrench})
	o.Write(tool, "io", &journal.ToolCheck{Tool: "tw-1", Result: journal.InTolerance, Cycles: 8})
	o.get("/shelf/tool/tw-1").well(http.StatusOK).says("2 March 2027, in 365 days; 0 of 8 uses since its check")
	o.Wait(400 * 24 * time.Hour)
	o.Write(journal.About("4f7kk2m9", "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	for _, c := range []journal.Corner{"LF", "RF"} {
		o.Write(journal.About("4f7kk2m9", c, ""), "io", &journal.WheelFit{Step: journal.WheelFull, Nuts: 5, Pattern: journal.StarPattern, Torque: q("120 N.m"), Tool: "tw-1"})
	}
	o.get("/shelf/tool/tw-1").well(http.StatusOK).says("past since 2 March 2027; 10 of 8 uses since its check", "mark wrong", "2 uses · 0 parts · 1 job")
}

// Vehicles come a hundred a page.
func TestManyVehicles(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	for i := range 103 {
		o.Write(journal.About(journal.JobID(fmt.Sprintf("j%07d", i)), "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: fmt.Sprintf("TRL %d", i)}})
	}
	o.get("/vehicles").well(http.StatusOK).says("1 to 100 of 103", "/vehicles?page=2", ">TRL 102<").hides(">TRL 2<")
	o.get("/vehicles?page=2").well(http.StatusOK).says("101 to 103 of 103", "/vehicles?page=1", ">TRL 2<")
	o.get("/vehicles?page=9").well(http.StatusOK).says("1 to 100 of 103")
	o.get("/vehicles?q=trl-10&page=1").well(http.StatusOK).says("1 to 4 of 4") // TRL 10, 100, 101, 102
	o.get("/").well(http.StatusOK).says("63 more jobs opened earlier")
}

// The desk says in which units the shop works, and leads to the page that chooses others.
func TestUnits(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.get("/shelf").well(http.StatusOK).says("The shop works in metric units: torque N·m, small joints N·m", "Work in US customary units", "units.temperature=%C2%B0F").hides("Work in metric units")
	about := journal.Subject("shop/k7m2q4xw")
	o.Write(about, "io", &journal.Units{Units: unit.USCustomary()})
	o.get("/shelf").well(http.StatusOK).says("The shop works in US customary units: torque lb·ft, small joints lb·in", "Work in metric units").hides("Work in US customary units")
	mixed := unit.Metric()
	mixed.Torque = unit.PoundForceFoot
	o.Write(about, "io", &journal.Units{Units: mixed})
	o.get("/shelf").well(http.StatusOK).says("The shop works in units of its own: torque lb·ft, small joints N·m", "Work in metric units", "Work in US customary units")
}
