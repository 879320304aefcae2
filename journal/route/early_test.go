package route_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
)

// A hold whose rule is kept before its turn has come says that it is, and what
// it waits for; once that has begun it is met.
func TestHoldsThatAreKeptEarlySayWhatTheyWaitFor(t *testing.T) {
	const waits = "in order so far, and judged when the work that follows has begun"
	s := front().play(t, jobID)
	whole := s.steps
	for until, want := range map[string]route.State{"LF opened": route.Open, "LF connected": route.Open, "LF bleed": route.Met} {
		s.steps = whole
		s.until(until)
		v := stands(checked(supplied(t, "caliper"), s.write().log), "line-closed", s.on("LF", ""))
		if v.State != want || strings.Contains(v.Why, waits) != (until == "LF connected") {
			t.Errorf("after %q the line's hold stands %s: %s", until, v.State, v.Why)
		}
	}
}

// While nobody has written which fluid the vehicle asks for, nobody says that
// what went in boils as late.
func TestAFluidIsHeldAgainstWhatTheVehicleAsksForOnly(t *testing.T) {
	s := front().play(t, jobID)
	if v := stands(checked(supplied(t, "caliper"), s.write().log), "fluid-grade", s.on("", "")); v.State != route.Met {
		t.Errorf("stated, and it stands %s: %s", v.State, v.Why)
	}
	s.drop("manual")
	if v := stands(checked(supplied(t, "caliper"), s.write().log), "fluid-grade", s.on("", "")); v.State != route.Open || !strings.Contains(v.Why, "nobody has written which fluid") {
		t.Errorf("not stated, and it stands %s: %s", v.State, v.Why)
	}
}

// A parking brake that is shown to hold on the road test is not to be put right
// between the drive and the word on it.
func TestAParkingBrakeShownOnTheRoadIsNothingToPutRight(t *testing.T) {
	s := rearElectric().play(t, jobID)
	s.drop("parking tried")
	s.until("road")
	job, shop := fold(s.write().log)
	for _, todo := range held(supplied(t, "caliper"), job, shop).Next() {
		if todo.Hold == "parking-brake-held" && todo.Task != route.StillOpen {
			t.Errorf("%s: %s", todo.Task, todo.Say)
		}
	}
}

// A part without a bleeder screw goes back on without a word on where it is,
// and what is asked of an arm's rebuilding names no piston.
func TestAPartIsAskedOnlyWhatItHas(t *testing.T) {
	s := front().play(t, jobID)
	edit(s, "LF refitted bracket", func(r *journal.Refitting) { r.Bleeder = "" })
	job, shop := fold(s.write().log)
	told := ""
	for _, about := range facts.StockOf(shop).Job(supplied(t, "caliper"), job).Parts {
		if about.Subject == s.on("LF", "bracket") {
			for _, is := range about.Group("part.refit").All() {
				told += is.Say()
			}
		}
	}
	if told != "back on; this part has no bleeder screw" {
		t.Errorf("of a bracket: %q", told)
	}
	if asked := journal.PartRebuilt.Told(); strings.Contains(asked, "piston") {
		t.Errorf("of an arm: %q", asked)
	}
}

// What was undone is not said as if it stood: a parking brake that was put into
// service mode again is not said to hold, and of joints that were opened since
// nobody reads only that they were dry.
func TestWhatWasUndoneIsSaidToBe(t *testing.T) {
	for _, c := range []struct {
		kind  func() plan
		until string
		more  func(*story) step
		hold  journal.HoldID
		says  string
	}{
		{rearElectric, "parking tried", func(s *story) step {
			return plain("service again", bench1, s.on("", ""), "mk", journal.ParkingBrake{State: journal.ServiceModeOn})
		}, "parking-brake-held", "the parking brake was tried on a slope before the last work on it"},
		{rearElectric, "parking tried", func(s *story) step {
			return plain("off again", bench1, s.on("RR", "caliper"), "mk", journal.Removal{})
		}, "parking-brake-held", "the parking brake was tried on a slope before the last work on it"},
		{front, "leak", func(s *story) step {
			return plain("opened again", bench1, s.on("LF", ""), "mk", journal.LineOpening{At: "hose at the caliper"})
		}, "leak", "held for 60 s: dry; work on the hydraulics came after the leak check"},
		{front, "pedal", func(s *story) step {
			return plain("opened again", bench1, s.on("LF", ""), "mk", journal.LineOpening{At: "hose at the caliper"})
		}, "pedal", "pedal firm; work on the hydraulics came after the pedal was tried"},
	} {
		s := c.kind().play(t, jobID)
		s.until(c.until)
		s.add(c.more(s))
		v := stands(checked(supplied(t, "caliper"), s.write().log), c.hold, s.on("", ""))
		if v.State == route.Met || v.Found() != c.says {
			t.Errorf("%s is %s: %s", c.hold, v.State, v.Found())
		}
	}
}
