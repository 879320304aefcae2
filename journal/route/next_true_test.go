package route_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"
)

// What comes next is never what a right job of the kind does not write: beside
// a bracket that came off with its line closed nobody is asked for washers.
func TestNextAsksForWhatIsTrue(t *testing.T) {
	for _, c := range journaltest.Rows(t, 6, append(honestKinds(), honestUncoated()...)) {
		t.Run(c.what, func(t *testing.T) {
			p := c.kind()
			s := p.play(t, jobID)
			if c.does != nil {
				c.does(s)
			}
			named := journal.RouteID("caliper")
			if p.route != "" {
				named = p.route
			}
			pinned := supplied(t, named)
			log := s.write().log
			job, shop := fold(log)
			whole := facts.StockOf(shop).Job(pinned, job)
			wrote := func(at journal.Subject, k journal.Kind) bool {
				return slices.ContainsFunc(slices.Concat([]*facts.Site{whole.Vehicle}, whole.Corners, whole.Parts), func(o *facts.Site) bool {
					return o.Subject == at && slices.ContainsFunc(o.Events(), func(e facts.Event) bool { return e.Data.Kind() == k })
				})
			}
			for is := range stages(log) {
				for _, todo := range held(pinned, is.job, is.shop).Next() {
					if todo.Kind != "" && !wrote(todo.Subject, todo.Kind) {
						t.Fatalf("after %d entries of %d: %s: %s", is.n, len(log), todo.Subject, todo.Say)
					}
				}
			}
		})
	}
}

// Of a casting that came without rubber nobody is asked to take any out, nor to
// photograph what lies beside it; all of it is still to go in.
func TestNextAsksNobodyToStripABareCasting(t *testing.T) {
	s := front().play(t, jobID)
	does(crackedThere(journal.RefuseRefit), otherCasting("cracked"), cameBare)(s)
	pinned, log, rubber := supplied(t, "caliper"), s.write().log, false
	for is := range stages(log) {
		for _, todo := range held(pinned, is.job, is.shop).Next() {
			if todo.Subject != s.on("LF", "caliper-2") {
				continue
			}
			if todo.Kind == journal.PartStripped {
				t.Errorf("after %d entries of %d: %s", is.n, len(log), todo.Say)
			}
			rubber = rubber || todo.Kind == journal.PartRebuilt
		}
	}
	if !rubber {
		t.Error("nobody was asked for new rubber")
	}
	// Nor does its stage stand there as one that is still to be done.
	job, shop := fold(log)
	for _, row := range held(pinned, job, shop).Grid() {
		for _, q := range row.Squares {
			if want := row.Stage.Name == "strip" && q.Subject == s.on("LF", "caliper-2"); q.Unasked() != want {
				t.Errorf("%s of %s: unasked is %v", row.Stage.Name, q.Subject, !want)
			}
		}
	}
}

// A corner where nothing was done yet is named, and where nothing is left to
// write, the holds that are still open.
func TestNextSaysWhatIsLeft(t *testing.T) {
	s := front().play(t, jobID)
	s.until("raised")
	for _, c := range fronts() {
		if list := todo(t, s); !slices.ContainsFunc(list, func(d route.Todo) bool {
			return d.Subject == at(c, "") && d.Task == route.WriteDown && d.Say == "Off the vehicle: write down which parts came off here or, if none did, what else was done"
		}) || len(list) != 2 {
			t.Errorf("at the start: %v", list)
		}
	}
	s = complete(t)
	s.until("road")
	list := slices.DeleteFunc(todo(t, s), func(d route.Todo) bool { return d.Task == route.Photograph || d.Task == route.TooLate })
	if len(list) != 1 || list[0].Task != route.StillOpen || list[0].Hold != "second-person" || !list[0].Urgent {
		t.Errorf("after the road test: %v", list)
	}
}

// Who does what comes next, and nothing else, breaks no hold: the vehicle's
// fluid and its reservoir come before the first corner is bled, the reservoir
// between two and after the last, and nobody drives on wheels that are snug only.
func TestNextLeadsToNoBrokenHold(t *testing.T) {
	for _, c := range []struct {
		until string // the last thing that was written
		next  []string
	}{
		{"RF bag empty", []string{": Hydraulics as a whole: write down that the fluid reservoir was looked at"}},
		{"look 1", []string{"RF: Bled: write down that a corner was bled"}},
		{"RF bleed", []string{": Hydraulics as a whole: write down that the fluid reservoir was looked at"}},
		{"look 2", []string{"LF: Bled: write down that a corner was bled"}},
		{"LF bleed", []string{": Hydraulics as a whole: write down that the fluid reservoir was looked at", ": Hydraulics as a whole: write down that the pedal was tried"}},
		{"RF snug", []string{"LF: Wheel tightened in two steps: the wheel has not been fully tightened on the ground yet", "RF: Wheel tightened in two steps: the wheel has not been fully tightened on the ground yet"}},
		{"LF full", []string{"RF: Wheel tightened in two steps: the wheel has not been fully tightened on the ground yet"}},
		{"RF full", []string{": Road test: write down that the vehicle was driven"}},
	} {
		t.Run(c.until, func(t *testing.T) {
			s := complete(t)
			s.until(c.until)
			if got := asked(todo(t, s)); !slices.Equal(got, c.next) {
				t.Errorf("%q, want %q", got, c.next)
			}
		})
	}
	s := complete(t)
	s.until("RF full")
	s.drop("epb off")
	if got := asked(todo(t, s)); !slices.Equal(got, []string{": Hydraulics as a whole: write down that the parking brake was put out of service mode; until then it does not hold the vehicle"}) {
		t.Errorf("in service mode: %q", got)
	}
	// Before it is let down, too.
	s.until("LF snug")
	if got := asked(todo(t, s)); !slices.Contains(got, ": Hydraulics as a whole: write down that the parking brake was put out of service mode; until then it does not hold the vehicle") {
		t.Errorf("in service mode, and one wheel on: %q", got)
	}
	// Who calibrates it after the road test has to drive once more.
	s = complete(t)
	s.until("RF full")
	s.drop("epb set")
	if got := asked(todo(t, s)); !slices.Equal(got, []string{": Hydraulics as a whole: write down that the parking brake was calibrated or adjusted, before the vehicle is driven"}) {
		t.Errorf("not calibrated: %q", got)
	}
	rear := fixedAround().play(t, jobID)
	rear.until("raised")
	if got := asked(todo(t, rear)); !slices.Contains(got, ": Hydraulics as a whole: write down that the parking brake was put into service mode, before a rear caliper comes off") {
		t.Errorf("before a rear caliper comes off: %q", got)
	}
	s = complete(t)
	s.until("RF bag empty")
	s.drop("manual")
	if got := asked(todo(t, s)); !slices.Contains(got, ": At the counter: write down that the vehicle’s cap or manual was read") || slices.ContainsFunc(got, func(one string) bool { return strings.Contains(one, "was bled") }) {
		t.Errorf("without the vehicle’s fluid: %q", got)
	}
}

// What a hold lacks is written by an entry of its own, which is named with it: the
// page that it leads to has the form.
func TestNextNamesTheEntryOfAHold(t *testing.T) {
	for until, want := range map[string]journal.Kind{"RF snug": journal.WheelFitted, "LF connected": journal.TorqueApplied, "road": journal.SecondChecked} {
		s := complete(t)
		s.until(until)
		open := 0
		for _, d := range todo(t, s) {
			if d.Task != route.StillOpen {
				continue
			}
			if open++; d.Kind != want {
				t.Errorf("%s: %s is written by %q, want %q", until, d.Say, d.Kind, want)
			}
		}
		if open == 0 {
			t.Errorf("%s: no hold is open", until)
		}
	}
}

// What nobody could make good is asked in time: which parking brake the vehicle
// has, before a rear caliper comes off, ahead of the work at other corners.
func TestNextAsksForTheParkingBrake(t *testing.T) {
	s := fixedAround().play(t, jobID)
	s.until("raised")
	s.drop("manual")
	const which = ": At the counter: write down which parking brake the vehicle has; an electric one is put into service mode before a rear caliper comes off"
	if got := asked(todo(t, s)); !slices.Contains(got, which) {
		t.Errorf("the kind is not known: %q", got)
	}
	s = front().play(t, jobID)
	s.until("raised")
	s.drop("manual")
	if got := asked(todo(t, s)); slices.Contains(got, which) {
		t.Errorf("at the front: %q", got)
	}
}

// A joint is called as the part's own make-up calls it.
func TestAJointByItsOwnName(t *testing.T) {
	s := fixedAround().play(t, jobID)
	s.until("LF refitted caliper")
	job, shop := fold(s.write().log)
	for _, v := range held(supplied(t, "caliper"), job, shop).Check().List {
		if v.Hold == "caliper-torque" && v.Subject == at("LF", "") && v.Why != "the mounting bolt is not tightened yet" {
			t.Errorf("%s", v.Why)
		}
	}
}

// A photograph is asked for from when on it can be taken: of the joint at the
// hose once the line is closed again, and of the nuts once they are snug.
func TestPhotographsInTheirTime(t *testing.T) {
	for until, want := range map[string]bool{"LF refitted caliper": false, "LF pin bolts": false, "LF connected": true} {
		s := complete(t)
		s.until(until)
		if got := slices.ContainsFunc(todo(t, s), func(d route.Todo) bool { return d.Shows == "bleeder up, line across head and seat" }); got != want {
			t.Errorf("%s: asked for the joint at the hose: %t", until, got)
		}
	}
	for until, want := range map[string]bool{"pedal": false, "LF snug": true} {
		s := complete(t)
		s.until(until)
		if got := slices.ContainsFunc(todo(t, s), func(d route.Todo) bool { return d.Shows == "nuts with their line" && d.Subject == at("LF", "") }); got != want {
			t.Errorf("%s: asked for the nuts: %t", until, got)
		}
	}
}

// asked is what is to be written or still open, with its corner.
func asked(list []route.Todo) []string {
	var says []string
	for _, d := range list {
		if d.Task == route.WriteDown || d.Task == route.StillOpen {
			says = append(says, string(d.Subject.Corner())+": "+d.Say)
		}
	}
	return says
}

// Nothing more is asked of a part that does not go back, and of what goes in
// instead nobody asks that it came off the vehicle.
func TestNextOfAnotherCasting(t *testing.T) {
	s := front().play(t, jobID)
	does(crackedThere(journal.RefuseRefit), otherCasting("cracked"))(s)
	before := *s
	before.until("cracked")
	if !slices.ContainsFunc(todo(t, &before), func(d route.Todo) bool {
		return d.Subject == at("LF", "caliper-2") && d.Kind == journal.PartTagged && d.Say == "Another part goes in: the caliper does not go back, and nothing is in its place yet: enter the one that goes in as caliper-2"
	}) {
		t.Error("nothing is said of the casting that is missing")
	}
	s.until("other tagged")
	for _, d := range todo(t, s) {
		if d.Subject == at("LF", "caliper") && d.Task != route.TooLate || d.Kind == journal.PartRemoved {
			t.Errorf("%s: %s", d.Subject, d.Say)
		}
	}
	job, shop := fold(s.write().log)
	squares := 0
	for _, row := range held(supplied(t, "caliper"), job, shop).Grid() {
		for _, q := range row.Squares {
			if q.Subject == at("LF", "caliper") {
				squares++
				if len(q.Lacks)+len(q.Blind)+len(q.Holds) > 0 {
					t.Errorf("%s asks for %v, %v", row.Stage.Name, q.Lacks, q.Blind)
				}
			}
		}
	}
	aside := held(supplied(t, "caliper"), job, shop).Check().Aside
	if len(aside) != 1 || aside[0].Subject != at("LF", "caliper") || aside[0].Is != "refused" || aside[0].By == "" || aside[0].Instead != at("LF", "caliper-2") ||
		!strings.Contains(aside[0].Say, "; it does not go back, and in its place is caliper-2") {
		t.Errorf("set aside: %+v", aside)
	}
	if list := held(supplied(t, "caliper"), job, shop).Check().List; slices.ContainsFunc(list, func(v route.Verdict) bool { return v.Subject == at("LF", "caliper") }) {
		t.Error("a hold is still asked of what was set aside")
	}
	if squares != 5 {
		t.Errorf("what was done to the first casting stands in %d squares", squares)
	}
}
