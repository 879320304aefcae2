package route_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/route"
)

// square finds one square of a grid.
func square(tb testing.TB, rows []route.Row, stage string, s journal.Subject) route.Square {
	tb.Helper()
	for _, row := range rows {
		for _, q := range row.Squares {
			if row.Stage.Name == stage && q.Subject == s {
				return q
			}
		}
	}
	tb.Fatalf("there is no square %s of %s", stage, s)
	return route.Square{}
}

func grid(tb testing.TB, s *story) []route.Row {
	tb.Helper()
	job, shop := fold(s.write().log)
	return held(supplied(tb, "caliper"), job, shop).Grid()
}

// TestGrid follows one square from empty to broken.
func TestGrid(t *testing.T) {
	caliper, bracket := at("LF", "caliper"), at("LF", "bracket") // the first of the corner, at which photographs of all are asked for
	for _, trial := range []struct {
		what  string
		about journal.Subject
		does  func(*story)
		stage string
		is    route.State
		lacks []journal.Kind
		blind []string
		free  bool
	}{
		{"nothing is there, and what comes before is not either", bracket, func(s *story) { s.until("LF strip") }, "mask", "", []journal.Kind{journal.BoreMasked}, []string{"masked bores and seats"}, false},
		{"nothing is there, its turn has come", bracket, func(s *story) { s.until("blast") }, "mask", "", []journal.Kind{journal.BoreMasked}, []string{"masked bores and seats"}, true},
		{"masked with its photograph; the hold is judged at the powder", caliper, func(s *story) { s.until("mask LF caliper") }, "mask", route.Met, nil, nil, true},
		{"blasted without a photograph", bracket, func(s *story) {
			s.until("mask RF bracket")
		}, "blast", route.Open, nil, []string{"bare metal"}, true},
		{"blasted, the photograph asked for at another part", caliper, func(s *story) { s.until("mask RF bracket") }, "blast", route.Met, nil, nil, true},
		{"in the oven, the probe's trace to come", bracket, func(s *story) { s.until("bake") }, "bake", route.Open, []journal.Kind{journal.ProbeLogged}, []string{"probe on the part"}, true},
		{"a plug was not counted out", caliper, func(s *story) {
			edit(s, "unmask LF caliper", func(u *journal.Unmasking) { u.Plugs = 6 })
		}, "unmask", route.Broken, nil, nil, true},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			trial.does(s)
			q := square(t, grid(t, s), trial.stage, trial.about)
			if q.State != trial.is || !slices.Equal(q.Lacks, trial.lacks) || !slices.Equal(q.Blind, trial.blind) || q.Free != trial.free {
				t.Errorf("got state %q, lacks %v, blind %v, free %v", q.State, q.Lacks, q.Blind, q.Free)
			}
			if (q.Last == nil) != (len(q.Lines) == 0) || q.Last != nil && q.Last != q.Lines[len(q.Lines)-1] {
				t.Errorf("the stamp is of %+v, the lines are %d", q.Last, len(q.Lines))
			}
		})
	}
}

// TestGridAgreesWithTheChecks: the squares hold every verdict of the job,
// each once, and lack what is to be written down.
func TestGridAgreesWithTheChecks(t *testing.T) {
	s := complete(t)
	s.until("film RF bracket")
	job, shop := fold(s.write().log)
	pinned := supplied(t, "caliper")
	var holds []route.Verdict
	lacks := map[journal.Subject][]journal.Kind{}
	for _, row := range held(pinned, job, shop).Grid() {
		for _, q := range row.Squares {
			holds = append(holds, q.Holds...)
			if q.Free {
				lacks[q.Subject] = append(lacks[q.Subject], q.Lacks...)
			}
		}
	}
	var keys []string
	for _, v := range holds {
		keys = append(keys, string(v.Hold)+" "+string(v.Subject)+" "+string(v.State))
	}
	things := 0
	for _, v := range route.Check(pinned, job, shop).List {
		things += max(1, len(v.Of))
		if !slices.Contains(keys, string(v.Hold)+" "+string(v.Thing())+" "+string(v.State)) {
			t.Errorf("the grid lacks %s of %s, %s", v.Hold, v.Thing(), v.State)
		}
	}
	if len(keys) != things {
		t.Errorf("the grid has %d verdicts, the check is on %d things", len(keys), things)
	}
	for _, todo := range held(pinned, job, shop).Next() {
		if todo.Task == route.WriteDown && !slices.Contains(lacks[todo.Subject], todo.Kind) {
			t.Errorf("the grid does not lack %s of %s", todo.Kind, todo.Subject)
		}
	}
}

// TestGridWithoutACard: nothing to stamp, nothing to fall over.
func TestGridWithoutACard(t *testing.T) {
	s := complete(t)
	job, shop := fold(s.write().log)
	if rows := held(nil, job, shop).Grid(); rows != nil {
		t.Errorf("got %d rows", len(rows))
	}
}

// TestNothingIsBrokenOnTheWay: of a job that is done right in every step no
// hold is broken at any moment of it. A hold that is judged before its turn
// teaches people to look away.
func TestNothingIsBrokenOnTheWay(t *testing.T) {
	pinned := supplied(t, "caliper")
	whole := complete(t)
	for i := range whole.steps {
		s := complete(t)
		s.steps = s.steps[:i+1]
		job, shop := fold(s.write().log)
		if job == nil || job.Opened == nil {
			continue
		}
		for _, v := range route.Check(pinned, job, shop).List {
			if v.State == route.Broken {
				t.Errorf("after %q: %s %s is broken: %s", whole.steps[i].name, v.Hold, v.Subject, v.Why)
			}
		}
	}
}
