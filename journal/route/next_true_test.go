package route_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
)

// What comes next is never what a right job of the kind does not write: beside
// a bracket that came off with its line closed nobody is asked for washers.
func TestNextAsksForWhatIsTrue(t *testing.T) {
	for _, c := range append(honestKinds(), honestUncoated()...) {
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
			for n := range log {
				job, shop := fold(log[:n+1])
				if job == nil || job.Opened == nil {
					continue
				}
				for _, todo := range held(pinned, job, shop).Next() {
					if todo.Kind != "" && !wrote(todo.Subject, todo.Kind) {
						t.Fatalf("after %d entries of %d: %s: %s", n+1, len(log), todo.Subject, todo.Say)
					}
				}
			}
		})
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

// Nothing more is asked of a part that does not go back, and of what goes in
// instead nobody asks that it came off the vehicle.
func TestNextOfAnotherCasting(t *testing.T) {
	s := front().play(t, jobID)
	does(crackedThere(journal.RefuseRefit), otherCasting("cracked"))(s)
	before := *s
	before.until("cracked")
	if !slices.ContainsFunc(todo(t, &before), func(d route.Todo) bool {
		return d.Subject == at("LF", "") && d.Say == "Off the vehicle: the caliper does not go back, and nothing is in its place yet: enter the one that goes in as caliper-2"
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
	if squares != 5 {
		t.Errorf("what was done to the first casting stands in %d squares", squares)
	}
}
