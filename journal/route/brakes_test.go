package route_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// work is a job as somebody may do it: the complete one with something else.
type work struct {
	what  string
	hold  journal.HoldID
	about journal.Subject
	does  func(*story)
	met   bool
	says  string // a part of what the verdict says
}

// judged holds each job against the supplied card.
func judged(t *testing.T, jobs []work) {
	pinned := supplied(t, "caliper")
	for _, job := range jobs {
		t.Run(job.what, func(t *testing.T) {
			s := complete(t)
			job.does(s)
			v := stands(checked(pinned, s.write().log), job.hold, job.about)
			if (v.State == route.Met) != job.met {
				t.Errorf("%s is %s: %s", job.hold, v.State, v.Why)
			}
			if told := strings.Join(append(v.Figures, v.Why), "; "); !strings.Contains(told, job.says) {
				t.Errorf("%q is not told in %q", job.says, told)
			}
		})
	}
}

// printed changes the figure of the bracket bolts, and what they got.
func printed(figure func(*journal.TorqueSpec), got func(*journal.Torque)) func(*story) {
	return func(s *story) {
		edit(s, "spec bracket", func(f *journal.TorqueSpec) {
			f.Low, f.High = unit.Torque{}, unit.Torque{}
			figure(f)
		})
		edit(s, "LF bracket bolts", got)
	}
}

func asIs[P any](*P) {}

// Figures as manuals print them, and what the bolts got.
func TestTorques(t *testing.T) {
	lf := at("LF", "")
	angled := func(f *journal.TorqueSpec) { f.Angle = 90 }
	onlyAngle := func(f *journal.TorqueSpec) { f.Nominal, f.Angle = unit.Torque{}, 90 }
	turned := func(degrees int) func(*journal.Torque) {
		return func(d *journal.Torque) { d.Turned, d.TurnedBy = degrees, journal.AngleGauge }
	}
	got := func(torque string) func(*journal.Torque) {
		return func(d *journal.Torque) { d.Torque = q[unit.Torque](torque) }
	}
	single := func(f *journal.TorqueSpec) { f.SingleUse = true }
	oiled := func(f *journal.TorqueSpec) { f.Thread = journal.ThreadOiled }
	each := func(second string, torque string) func(*story) {
		return func(s *story) {
			edit(s, "LF bracket bolts", func(d *journal.Torque) { d.Count, d.Bolt = 1, "upper" })
			s.after("LF bracket bolts", plain("second bolt", bench1, at("LF", "bracket"), "mk", journal.Torque{
				Joint: "bracket bolts", Torque: q[unit.Torque](torque), Tool: "tw-1", Spec: "bracket", Bolt: second,
			}))
		}
	}
	wheel := func(change func(*journal.WheelFit)) func(*story) {
		return func(s *story) { edit(s, "LF full", change) }
	}
	judged(t, []work{
		{"a nominal figure with its tolerance", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.Tolerance = q[unit.Torque]("10 N.m") }, got("112 N.m")), true, "inside 95.0 N·m to 115.0 N·m"},
		{"outside that tolerance", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.Tolerance = q[unit.Torque]("10 N.m") }, got("116 N.m")), false, "outside 95.0 N·m to 115.0 N·m"},
		{"the manual's general tolerance", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.General = q[unit.Ratio]("10 %") }, got("100 N.m")), true, "inside 94.5 N·m to 115.5 N·m"},
		{"outside the general tolerance", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.General = q[unit.Ratio]("10 %") }, got("120 N.m")), false, "outside 94.5 N·m to 115.5 N·m"},
		{"one number and no tolerance", "bracket-torque", lf, printed(asIs, asIs), true, "set to the printed figure, 105 N.m (no tolerance is printed: by convention within the tool's own ±4 %, 100.8 N·m to 109.2 N·m)"},
		{"not the one number", "bracket-torque", lf, printed(asIs, got("98 N.m")), false, "is not the printed figure, 105 N.m"},
		{"torque and angle", "bracket-torque", lf, printed(angled, turned(90)), true, "turned on by 90°, as the 90° printed (by convention within 5°)"},
		{"torque and no angle", "bracket-torque", lf, printed(angled, asIs), false, "asks for a further 90°"},
		{"torque and half the angle", "bracket-torque", lf, printed(angled, turned(45)), false, "turned on by 45° and not by the 90° printed"},
		{"the angle on the wrong torque", "bracket-torque", lf, printed(angled, func(d *journal.Torque) { d.Torque, d.Turned = q[unit.Torque]("60 N.m"), 90 }), false, "is not the printed figure"},
		{"an angle that nobody asked for", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.Low, f.High = q[unit.Torque]("98 N.m"), q[unit.Torque]("112 N.m") }, turned(90)), false, "the figure asks for no angle"},
		{"an angle from snug", "bracket-torque", lf, printed(onlyAngle, func(d *journal.Torque) { d.Torque, d.Tool, d.Turned = unit.Torque{}, "", 90 }), true, "turned on by 90°"},
		{"a smaller angle from snug", "bracket-torque", lf, printed(onlyAngle, func(d *journal.Torque) { d.Torque, d.Tool, d.Turned = unit.Torque{}, "", 60 }), false, "not by the 90° printed"},
		{"an angle with a wrench that is not in calibration", "bracket-torque", lf, printed(angled, func(d *journal.Torque) { d.Tool, d.Turned = "tw-9", 90 }), false, "never found good in a calibration"},
		{"new single-use bolts", "bracket-torque", lf, printed(single, func(d *journal.Torque) { d.NewBolts = true }), true, ""},
		{"single-use bolts used again", "bracket-torque", lf, printed(single, asIs), false, "nobody wrote that they are new"},
		{"oiled as the figure asks", "bracket-torque", lf, printed(oiled, func(d *journal.Torque) { d.Thread = journal.ThreadOiled }), true, ""},
		{"dry where the figure is for oiled", "bracket-torque", lf, printed(oiled, func(d *journal.Torque) { d.Thread = journal.ThreadDry }), false, "holds for threads oiled, and they are clean and dry"},
		{"each bolt for itself", "bracket-torque", lf, each("lower", "105 N.m"), true, ""},
		{"the same bolt twice", "bracket-torque", lf, each("Upper", "105 N.m"), false, "1 of 2 bolts"},
		{"the other bolt outside", "bracket-torque", lf, each("lower", "90 N.m"), false, "outside"},
		{"the same bolt again, and wrong", "bracket-torque", lf, each("upper", "140 N.m"), false, "outside"},
		{"three bolts by the figure", "bracket-torque", lf, func(s *story) {
			edit(s, "spec bracket", func(f *journal.TorqueSpec) { f.Bolts = 3 })
		}, false, "2 of 3 bolts"},
		{"one bolt by the figure", "bracket-torque", lf, func(s *story) {
			edit(s, "spec bracket", func(f *journal.TorqueSpec) { f.Bolts = 1 })
			edit(s, "LF bracket bolts", func(d *journal.Torque) { d.Count = 1 })
		}, true, ""},
		{"one guide pin bolt of two", "caliper-torque", lf, func(s *story) {
			edit(s, "LF pin bolts", func(d *journal.Torque) { d.Count = 1 })
		}, false, "1 of 2 bolts"},

		{"wheel nuts at their figure", "wheel", lf, func(*story) {}, true, "inside 110.0 N·m to 130.0 N·m"},
		{"wheel nuts at 60 N·m", "wheel", lf, wheel(func(w *journal.WheelFit) { w.Torque = q[unit.Torque]("60 N.m") }), false, "outside 110.0 N·m to 130.0 N·m"},
		{"wheel nuts without a figure", "wheel", lf, wheel(func(w *journal.WheelFit) { w.Spec = "" }), false, "record the figure and where it is printed"},
		{"wheel nuts by another joint's figure", "wheel", lf, wheel(func(w *journal.WheelFit) { w.Spec, w.Torque = "bracket", q[unit.Torque]("105 N.m") }), false, "for another joint"},
		{"four wheel nuts of five", "wheel", lf, func(s *story) {
			edit(s, "spec wheel", func(f *journal.TorqueSpec) { f.Bolts = 5 })
			edit(s, "LF full", func(w *journal.WheelFit) { w.Nuts = 4 })
		}, false, "4 of 5 nuts"},
		{"one number for the wheel nuts", "wheel", lf, func(s *story) {
			edit(s, "spec wheel", func(f *journal.TorqueSpec) { f.Low, f.High = unit.Torque{}, unit.Torque{} })
		}, true, "by convention"},
	})
}
