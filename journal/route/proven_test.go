package route_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

// spoilers are ways to take the proof from under a job, each without a word at the work
// itself.
func spoilers() map[string]func(*story) {
	check := func(tool string, change func(*journal.ToolCheck)) func(*story) {
		return func(s *story) { edit(s, "check "+tool, change) }
	}
	figure := func(spec string, change func(*journal.TorqueSpec)) func(*story) {
		return func(s *story) { edit(s, "spec "+spec, change) }
	}
	list := map[string]func(*story){
		"a lot without a schedule": func(s *story) { edit(s, "lot", func(d *journal.PowderLot) { d.Schedule = nil }) },
		"an unknown lot":           func(s *story) { edit(s, "lot", func(d *journal.PowderLot) { d.Lot = "other" }) },
		"an unknown container":     func(s *story) { edit(s, "fluid", func(d *journal.FluidContainer) { d.Fluid = "other" }) },
		"a fluid that boils lower": func(s *story) { edit(s, "fluid", func(d *journal.FluidContainer) { d.Grade = journal.DOT3 }) },
		"nobody may look":          func(s *story) { edit(s, "person jr", func(d *journal.Person) { d.Duties = nil }) },
		"who opened it looked":     func(s *story) { edit(s, "person jr", func(d *journal.Person) { d.Person = "zz" }) },
	}
	for _, tool := range []string{"tw-1", "tw-2", "tw-3"} {
		list["out of date "+tool] = check(tool, func(d *journal.ToolCheck) { d.Due = "2020-01-31" })
		list["found bad "+tool] = check(tool, func(d *journal.ToolCheck) { d.Result = journal.OutOfTolerance })
		list["not checked "+tool] = check(tool, func(d *journal.ToolCheck) { d.Tool = "other" })
	}
	for _, spec := range []string{"banjo", "bracket", "pin", "wheel", "actuator"} {
		list["borrowed "+spec] = figure(spec, func(d *journal.TorqueSpec) { d.Fits = []string{"two-door"} })
		list["of another joint "+spec] = figure(spec, func(d *journal.TorqueSpec) { d.Joint = "flare nut" })
		list["other threads "+spec] = figure(spec, func(d *journal.TorqueSpec) { d.Thread = journal.ThreadOiled })
		list["used once "+spec] = figure(spec, func(d *journal.TorqueSpec) { d.SingleUse = true })
		list["twice as much "+spec] = figure(spec, func(d *journal.TorqueSpec) {
			d.Low, d.High, d.Nominal = q[unit.Torque]("300 N.m"), q[unit.Torque]("320 N.m"), q[unit.Torque]("310 N.m")
		})
	}
	return list
}

// spoilt plays a job of which something is missing, and of which the rest rests on things
// that may prove nothing.
func spoilt(rt *rapid.T, tb testing.TB, whole *story) *story {
	s := &story{tb: tb, steps: slices.Clone(whole.steps)}
	all := spoilers()
	names := slices.Sorted(maps.Keys(all))
	for _, name := range rapid.SliceOfNDistinct(rapid.SampledFrom(names), 0, 4, rapid.ID).Draw(rt, "spoilt") {
		all[name](s)
	}
	last := s.index("opened")
	for range rapid.IntRange(0, 3).Draw(rt, "dropped") {
		if i := rapid.IntRange(last+1, len(s.steps)-1).Draw(rt, "step"); s.steps[i].name != "road" {
			s.steps = slices.Delete(s.steps, i, i+1)
		}
	}
	if rapid.Bool().Draw(rt, "cut off") {
		s.steps = s.steps[:rapid.IntRange(last+1, len(s.steps)).Draw(rt, "until")]
	}
	return s
}

// forbids reports whether a hold that is not met states the same.
func forbids(v route.Verdict, s facts.Statement) bool {
	return v.State != route.Met && slices.ContainsFunc(v.Statements, s.Same)
}

// metWords are how met is said. A clause that is not met may have none of them, unless
// it says in the same breath what it is not.
var metWords = []string{"schedule met", "requirement met", " is inside ", "set to the printed figure"}

// Whatever proves nothing is never shown as met: what a met hold says that fails is said
// by one that is not met, no stage is stamped over a hold that is not, no statement that
// is not met says that it is, and no table of joints has it among the right ones. What
// a met hold says that fails is a note behind what meets it.
func TestNotProvenIsNeverShownAsMet(t *testing.T) {
	pinned := supplied(t, "caliper")
	whole := complete(t)
	rapid.Check(t, func(rt *rapid.T) {
		job, shop := fold(spoilt(rt, t, whole).write().log)
		h := held(pinned, job, shop)
		for _, row := range h.Grid() {
			for _, sq := range row.Squares {
				for _, v := range sq.Holds {
					if sq.State == route.Met && (v.State == route.Broken || v.State == route.InDoubt || v.State == route.Waived) {
						rt.Errorf("%s at %s is stamped, and %s is %s", row.Stage.Name, sq.Subject, v.Hold, v.State)
					}
				}
			}
		}
		verdicts := h.Check().List
		for _, v := range verdicts {
			noted := 0
			for i, clause := range v.Figures {
				if strings.HasPrefix(clause, "note: ") {
					noted++
				} else if noted > 0 {
					rt.Errorf("%s %s says %q behind a note", v.Hold, v.Subject, v.Figures[i])
				}
			}
			if noted > 0 && v.State != route.Met && v.State != route.InDoubt {
				rt.Errorf("%s %s is %s, and notes %q", v.Hold, v.Subject, v.State, v.Figures)
			}
			for _, s := range v.Statements {
				if v.State == route.Met && s.Fails() && slices.Contains(v.Figures, s.Say()) {
					rt.Errorf("%s %s is met, and has %q for what meets it", v.Hold, v.Subject, s.Say())
				}
				if v.State == route.Met && s.Fails() && !slices.ContainsFunc(verdicts, func(o route.Verdict) bool { return forbids(o, s) }) {
					rt.Errorf("%s %s is met, and says %q, which no hold fails on", v.Hold, v.Subject, s.Say())
				}
				says := s.Say()
				if s.Met != facts.No && s.Met != facts.NotKnown {
					continue
				}
				for _, met := range metWords {
					if strings.Contains(strings.ToLower(says), met) && !strings.Contains(says, "not proven") && !strings.Contains(says, " of ") {
						rt.Errorf("%s %s: what is not met says %q", v.Hold, v.Subject, says)
					}
				}
			}
		}
		for _, joint := range facts.StockOf(shop).Job(pinned, job).Tightened() {
			if proven := joint.Is.Met == facts.Yes; joint.Wrong && proven || !joint.Wrong && joint.Is.Met == facts.NotKnown {
				rt.Errorf("the table has %q of what is %q", joint.Asked, joint.Is.Met)
			}
		}
	})
}

// Two hold points ask of the fluid: whether it is one that may be mixed and is fresh, and
// whether it is what the vehicle asks for. A fluid that boils lower fails the second. The
// first is met, and says so without taking the other's word.
func TestAWarningIsANoteWhereItIsNotAsked(t *testing.T) {
	s := complete(t)
	edit(s, "fluid", func(d *journal.FluidContainer) { d.Grade = journal.DOT3 })
	job, shop := fold(s.write().log)
	const warns = "DOT 3 boils lower than DOT 4, which the vehicle asks for"
	for hold, want := range map[journal.HoldID]struct {
		state route.State
		says  string
	}{
		"fluid":       {route.Met, "DOT 3 from bf-31; note: " + warns},
		"fluid-grade": {route.Broken, "DOT 3 from bf-31; " + warns},
	} {
		v := stands(held(supplied(t, "caliper"), job, shop).Check(), hold, journal.About(jobID, "", ""))
		if says := strings.Join(v.Figures, "; "); v.State != want.state || !strings.Contains(says, want.says) || !strings.Contains(v.Why, want.says) {
			t.Errorf("%s is %s, and says %q: %s", hold, v.State, says, v.Why)
		}
	}
}

// What is noted of all parts of a corner stands behind what is said of each of them too.
func TestNotesStandBehindAllElse(t *testing.T) {
	s := complete(t)
	for _, name := range []string{"LF described caliper", "LF described bracket"} {
		i := s.index(name)
		s.steps = slices.Delete(s.steps, i, i+1)
	}
	job, shop := fold(s.write().log)
	noted := 0
	for _, v := range held(supplied(t, "caliper"), job, shop).Check().List {
		first := slices.IndexFunc(v.Figures, func(clause string) bool { return strings.HasPrefix(clause, "note: ") })
		if first < 0 {
			continue
		}
		noted++
		for _, clause := range v.Figures[first:] {
			if !strings.HasPrefix(clause, "note: ") {
				t.Errorf("%s %s says %q behind a note", v.Hold, v.Subject, clause)
			}
		}
	}
	if noted == 0 {
		t.Error("nothing is noted")
	}
}
