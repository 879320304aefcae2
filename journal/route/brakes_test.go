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

// unasked is a job in which a hold point concerns nothing that was done.
type unasked struct {
	what  string
	about journal.Subject
	does  func(*story)
	holds []journal.HoldID
}

// notAsked holds each job against the supplied card.
func notAsked(t *testing.T, jobs []unasked) {
	pinned := supplied(t, "caliper")
	for _, job := range jobs {
		t.Run(job.what, func(t *testing.T) {
			s := complete(t)
			job.does(s)
			verdicts := checked(pinned, s.write().log)
			for _, hold := range job.holds {
				if v := stands(verdicts, hold, job.about); v.State != "" {
					t.Errorf("%s is asked: %s", hold, v.Why)
				}
			}
		})
	}
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

// ofVehicles says for which vehicles a figure was looked up, and what is known of
// the one that is worked on.
func ofVehicles(spec string, fits []string, vins ...string) func(*story) {
	return func(s *story) {
		edit(s, "opened", func(d *journal.Job) {
			d.Vehicle.VIN, d.Vehicle.Looks = "WDX1284A900012345", "green estate, vented discs"
		})
		edit(s, "spec "+spec, func(f *journal.TorqueSpec) { f.Fits, f.VINs = fits, vins })
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
				Joint: "bracket bolts", Torque: q[unit.Torque](torque), Tool: "tw-1", Spec: "bracket", Bolt: second, NewBolts: true,
			}))
		}
	}
	wheel := func(change func(*journal.WheelFit)) func(*story) {
		return func(s *story) { edit(s, "LF full", change) }
	}
	judged(t, []work{
		{"a nominal figure with its tolerance", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.Tolerance = q[unit.Torque]("10 N.m") }, got("112 N.m")), true, "inside 95.0 N·m to 115.0 N·m"},
		{"outside that tolerance", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.Tolerance = q[unit.Torque]("10 N.m") }, got("116 N.m")), false, "outside 95.0 N·m to 115.0 N·m"},
		{"the manual’s general tolerance", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.General = q[unit.Ratio]("10 %") }, got("100 N.m")), true, "inside 94.5 N·m to 115.5 N·m"},
		{"outside the general tolerance", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.General = q[unit.Ratio]("10 %") }, got("120 N.m")), false, "outside 94.5 N·m to 115.5 N·m"},
		{"one number and no tolerance", "bracket-torque", lf, printed(asIs, asIs), true, "set to the printed figure, 105 N.m (no tolerance is printed: by convention within the tool’s own ±4 %, 100.8 N·m to 109.2 N·m)"},
		{"not the one number", "bracket-torque", lf, printed(asIs, got("98 N.m")), false, "is not the printed figure, 105 N.m"},
		{"torque and angle", "bracket-torque", lf, printed(angled, turned(90)), true, "turned a further 90°, as the 90° printed (by convention within 5°)"},
		{"torque and no angle", "bracket-torque", lf, printed(angled, asIs), false, "asks for a further 90°"},
		{"torque and half the angle", "bracket-torque", lf, printed(angled, turned(45)), false, "turned a further 45° and not the 90° printed"},
		{"the angle on the wrong torque", "bracket-torque", lf, printed(angled, func(d *journal.Torque) { d.Torque, d.Turned = q[unit.Torque]("60 N.m"), 90 }), false, "is not the printed figure"},
		{"an angle that nobody asked for", "bracket-torque", lf, printed(func(f *journal.TorqueSpec) { f.Low, f.High = q[unit.Torque]("98 N.m"), q[unit.Torque]("112 N.m") }, turned(90)), false, "the figure asks for no angle"},
		{"an angle from snug", "bracket-torque", lf, printed(onlyAngle, func(d *journal.Torque) { d.Torque, d.Tool, d.Turned = unit.Torque{}, "", 90 }), true, "turned a further 90°"},
		{"a smaller angle from snug", "bracket-torque", lf, printed(onlyAngle, func(d *journal.Torque) { d.Torque, d.Tool, d.Turned = unit.Torque{}, "", 60 }), false, "not the 90° printed"},
		{"an angle with a wrench that is not in calibration", "bracket-torque", lf, printed(angled, func(d *journal.Torque) { d.Tool, d.Turned = "tw-9", 90 }), false, "never found good in a calibration"},
		{"new single-use bolts", "bracket-torque", lf, printed(single, func(d *journal.Torque) { d.NewBolts = true }), true, ""},
		{"single-use bolts used again", "bracket-torque", lf, printed(single, func(d *journal.Torque) { d.NewBolts = false }), false, "nobody has written that they are new"},
		{"oiled as the figure asks", "bracket-torque", lf, printed(oiled, func(d *journal.Torque) { d.Thread = journal.ThreadOiled }), true, ""},
		{"dry where the figure is for oiled", "bracket-torque", lf, printed(oiled, func(d *journal.Torque) { d.Thread = journal.ThreadDry }), false, "holds for threads oiled, and they are clean and dry"},
		{"a figure for this vehicle by its looks", "bracket-torque", lf, ofVehicles("bracket", []string{"sedan", "Green estate"}), true, ""},
		{"a figure for this vehicle by how its VIN begins", "bracket-torque", lf, ofVehicles("bracket", nil, "WVX00000", "wdx1284a"), true, ""},
		{"a figure for another make-up", "bracket-torque", lf, ofVehicles("bracket", []string{"green two-door"}), false, "bracket bolts: 105 N.m is not proven: the figure bracket is borrowed from “green two-door”, and nothing shows that it holds for this vehicle"},
		{"a figure for another VIN, of which no more than the type is said", "bracket-torque", lf, ofVehicles("bracket", nil, "WVX00000000012345"), false, "borrowed from VIN WVX00000…, and"},
		{"outside a borrowed figure", "bracket-torque", lf, func(s *story) {
			ofVehicles("bracket", []string{"green two-door"})(s)
			edit(s, "LF bracket bolts", got("140 N.m"))
		}, false, "outside 98.0 N·m to 112.0 N·m (maker's manual, 4-17); the figure is borrowed from “green two-door”"},
		{"wheel nuts by another vehicle's figure", "wheel", lf, ofVehicles("wheel", []string{"two-door"}), false, "borrowed from “two-door”"},
		{"each bolt for itself", "bracket-torque", lf, each("lower", "105 N.m"), true, ""},
		{"the same bolt twice", "bracket-torque", lf, each("Upper", "105 N.m"), false, "1 of 2 bolts"},
		{"the other bolt outside", "bracket-torque", lf, each("lower", "90 N.m"), false, "outside"},
		{"the same bolt again, and wrong", "bracket-torque", lf, each("upper", "140 N.m"), false, "outside"},
		{"three bolts by the figure", "bracket-torque", lf, func(s *story) {
			edit(s, "spec bracket", func(f *journal.TorqueSpec) { f.Bolts = 3 })
		}, false, "2 of 3 bolts"},
		{"one bolt by the figure, and two counted", "bracket-torque", lf, func(s *story) {
			edit(s, "spec bracket", func(f *journal.TorqueSpec) { f.Bolts = 1 })
			edit(s, "LF bracket bolts", func(d *journal.Torque) { d.Count = 1 })
		}, false, "1 of 2 bolts"},
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

// flared changes the line of the left front corner to one that joins by a
// flare nut.
func flared(s *story) {
	s.after("spec banjo", plain("spec flare", office, "spec/flare", "io", journal.TorqueSpec{Spec: "flare", Joint: "flare nut", Low: q[unit.Torque]("14 N.m"), High: q[unit.Torque]("18 N.m"), From: "maker's manual"}))
	edit(s, "LF opened", func(o *journal.LineOpening) { o.At, o.Joins = "hose at the caliper", journal.JoinsByFlare })
	edit(s, "LF connected", func(c *journal.LineConnection) { c.At = "hose at the caliper" })
	s.drop("LF washers")
	edit(s, "LF banjo bolt", func(d *journal.Torque) { d.Joint, d.Spec, d.Torque = "flare nut", "flare", q[unit.Torque]("16 N.m") })
}

// brackets is a job on the brackets alone: the calipers hang aside, their
// lines closed.
func brackets(s *story) {
	for _, st := range append([]step(nil), s.steps...) {
		for _, word := range []string{"caliper", "LF opened", "RF opened", "strip", "washers", "connected", "banjo bolt", "rebuilt", "bleed", "look", "leak", "epb", "wash", "blast", "soak", "powder", "bake", "trace", "cured", "second"} {
			if strings.Contains(st.name, word) && !strings.HasPrefix(st.name, "spec") {
				s.drop(st.name)
				break
			}
		}
	}
}

// bledAlone is a corner that was bled and nothing else.
func bledAlone(s *story) {
	s.after("LF bleed", plain("LR bleed", bench1, at("LR", ""), "mk", journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume]("60 mL"), Bubbles: "none", ByHand: true}))
	s.after("LF bleed", plain("look 4", bench1, at("", ""), "mk", journal.Reservoir{Before: q[unit.Ratio]("60 %"), After: q[unit.Ratio]("90 %"), Added: q[unit.Volume]("90 mL"), Fluid: "bf-31"}))
}

// What the job touched bounds what is asked.
func TestLinesAndBleeding(t *testing.T) {
	lf, lr, vehicle := at("LF", ""), at("LR", ""), at("", "")
	whole := func(s *story) { edit(s, "RF bleed", func(b *journal.Bleed) { b.Whole = true }) }
	notAsked(t, []unasked{
		{"a flare nut", lf, flared, []journal.HoldID{"washers", "banjo-torque", "torque-shown"}},
		{"a banjo", lf, func(*story) {}, []journal.HoldID{"flare-torque"}},
		{"a corner bled where nothing came off", lr, bledAlone, []journal.HoldID{"all-back", "washers", "line-closed", "banjo-torque", "flare-torque", "bracket-torque", "caliper-torque", "wheel", "bagged", "bag-empty"}},
		{"brackets alone, the lines closed", vehicle, brackets, []journal.HoldID{"bled-complete", "bleed-order", "reservoir", "fluid", "leak"}},
		{"a bracket alone", lf, brackets, []journal.HoldID{"bled", "washers", "line-closed", "banjo-torque", "screw-torque"}},
	})
	judged(t, []work{
		{"a flare nut at its figure", "flare-torque", lf, flared, true, "inside 14.0 N·m to 18.0 N·m"},
		{"a flare nut outside it", "flare-torque", lf, func(s *story) { flared(s); torqueAs(s, "LF banjo bolt", "25 N.m") }, false, "outside"},
		{"a flare nut that nobody tightened", "flare-torque", lf, func(s *story) { flared(s); s.drop("LF banjo bolt") }, false, "not tightened"},
		{"a flare nut opened again", "flare-torque", lf, func(s *story) {
			flared(s)
			s.after("LF bleed", late(lf, journal.LineOpening{At: "hose at the caliper"}))
		}, false, "opened at hose at the caliper after"},
		{"a banjo called so, without washers", "washers", lf, func(s *story) {
			edit(s, "LF opened", func(o *journal.LineOpening) { o.At, o.Joins = "pipe at the caliper", journal.JoinsByBanjo })
			s.drop("LF washers")
		}, false, ""},
		{"washers where nobody wrote that the line was opened", "washers", lf, func(s *story) { s.drop("LF opened", "LF washers") }, false, ""},
		{"washers at the banjo of which nobody stated anything", "washers", lf, unstated("banjo bolt"), true, "2 new copper washers at the banjo bolt"},
		{"washers at the place that was opened", "washers", lf, unstated("banjo"), true, ""},
		{"washers by the joint's other name", "washers", lf, unstated("hose bolt"), true, ""},
		{"washers at the bleeder screw", "washers", lf, unstated("bleeder screw"), false, "no new washer is written down yet"},
		{"washers at a flare nut", "washers", lf, unstated("flare nut"), false, ""},
		{"washers at no joint of the line", "washers", lf, unstated("drain plug"), false, ""},
		{"washers at the banjo, opened at the hose", "washers", lf, func(s *story) {
			unstated("banjo bolt")(s)
			edit(s, "LF opened", func(o *journal.LineOpening) { o.At = "hose at the caliper" })
		}, true, ""},
		{"washers at a flare nut, opened at the hose", "washers", lf, func(s *story) {
			unstated("flare nut")(s)
			edit(s, "LF opened", func(o *journal.LineOpening) { o.At = "hose at the caliper" })
		}, false, ""},
		{"washers elsewhere, and too few at the banjo", "washers", lf, func(s *story) {
			unstated("bleeder screw")(s)
			s.after("LF washers", plain("one", bench1, lf, "mk", journal.Washers{Joint: "banjo bolt", Count: 1, Material: "copper"}))
		}, false, ""},
		{"a corner bled alone", "bled", lr, bledAlone, false, ""},
		{"its screw by hand", "screw-torque", lr, bledAlone, true, "closed by hand, as the maker gives no figure"},
		{"a screw that nobody wrote of", "screw-torque", lf, func(s *story) {
			edit(s, "LF bleed", func(b *journal.Bleed) { b.Screw, b.Tool = unit.Torque{}, "" })
		}, false, ""},
		{"a screw by hand and with a wrench that is not registered", "screw-torque", lf, func(s *story) {
			edit(s, "LF bleed", func(b *journal.Bleed) { b.ByHand, b.Tool = true, "tw-9" })
		}, false, "tw-9"},
		{"driven with the lines closed", "road", vehicle, brackets, true, ""},
		{"driven with the lines closed, the pedal untried", "road", vehicle, func(s *story) { brackets(s); s.drop("pedal") }, false, ""},
		{"a bracket back, the caliper's bolts not tightened", "caliper-torque", lf, func(s *story) { brackets(s); s.drop("LF pin bolts") }, false, ""},
		{"the whole system, two corners of four", "bled-complete", vehicle, whole, false, "the fluid of the whole system is being changed"},
		{"the whole system, all corners", "bled-complete", vehicle, func(s *story) {
			whole(s)
			for _, c := range []journal.Corner{"LR", "RR"} {
				s.after("LF bleed", plain(string(c)+" bleed", bench1, at(c, ""), "mk", journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume]("100 mL"), Bubbles: "none", Whole: true}))
			}
		}, true, ""},
	})
}

// The fluid is the vehicle's own, fresh, and never below MIN; the order is the
// vehicle's.
func TestFluidAndOrder(t *testing.T) {
	vehicle := at("", "")
	asks := func(grade journal.FluidGrade) func(*story) {
		return func(s *story) { edit(s, "manual", func(m *journal.Manual) { m.Fluid = grade }) }
	}
	filled := func(asks, with journal.FluidGrade) func(*story) {
		return func(s *story) {
			edit(s, "manual", func(m *journal.Manual) { m.Fluid, m.From = asks, journal.ReadOnCap })
			edit(s, "fluid", func(f *journal.FluidContainer) { f.Grade = with })
		}
	}
	opened := func(day journal.Date) func(*story) {
		return func(s *story) { edit(s, "fluid", func(f *journal.FluidContainer) { f.Opened = day }) }
	}
	span := func(s *story, volume string) {
		edit(s, "look 1", func(r *journal.Reservoir) { r.Span = q[unit.Volume](volume) })
	}
	order := func(corners ...journal.Corner) func(*story) {
		return func(s *story) { edit(s, "manual", func(m *journal.Manual) { m.Order = corners }) }
	}
	cups := func(s *story) { // two cups at RF, with a look and a top-up between them
		s.after("RF bleed", plain("RF cup 2", bench1, at("RF", ""), "mk", journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume]("120 mL"), Bubbles: "none", ByHand: true}))
		s.after("RF bleed", plain("top", bench1, vehicle, "mk", journal.Reservoir{Before: q[unit.Ratio]("50 %"), After: q[unit.Ratio]("95 %"), Fluid: "bf-31"}))
		edit(s, "RF bleed", func(b *journal.Bleed) { b.Bubbles = journal.SomeBubbles })
	}
	judged(t, []work{
		{"the vehicle’s own grade", "fluid", vehicle, func(*story) {}, true, "DOT 4 suits a vehicle that asks for DOT 4 (the vehicle’s manual, 4-20)"},
		{"a higher grade of the same kind", "fluid", vehicle, asks(journal.DOT3), true, ""},
		{"brake fluid into mineral oil", "fluid", vehicle, asks(journal.MineralOil), false, "DOT 4 must not go into a vehicle that asks for mineral oil"},
		{"mineral oil where it belongs", "fluid", vehicle, filled(journal.MineralOil, journal.MineralOil), true, ""},
		{"mineral oil into brake fluid", "fluid", vehicle, filled(journal.DOT4, journal.MineralOil), false, "(the vehicle’s reservoir cap, 4-20)"},
		{"silicone into glycol", "fluid", vehicle, filled(journal.DOT4, journal.DOT5), false, "must not go"},
		{"nobody read the cap", "fluid", vehicle, func(s *story) { s.drop("manual") }, false, "nobody has written which fluid the vehicle itself asks for"},
		{"a grade that boils lower", "fluid-grade", vehicle, asks(journal.DOT51), false, "DOT 4 boils lower than DOT 5.1"},
		{"opened this morning", "fluid-fresh", vehicle, func(*story) {}, true, ""},
		{"opened last week", "fluid-fresh", vehicle, opened("2026-02-24"), true, "was open for 6 days"},
		{"opened in winter", "fluid-fresh", vehicle, opened("2026-01-10"), false, "was open for 51 days"},
		{"past the date on the container", "fluid-fresh", vehicle, func(s *story) {
			edit(s, "fluid", func(f *journal.FluidContainer) { f.UseBy = "2026-02-28" })
		}, false, "was to be used by 28 February 2026, 2 days ago"},

		{"levels and no volume", "reservoir", vehicle, func(*story) {}, true, "the levels that were read are the evidence, and no balance is"},
		{"two cups and a top-up between them", "reservoir", vehicle, cups, true, ""},
		{"two cups and the corner is bled", "bled", at("RF", ""), cups, true, ""},
		{"a volume that is on record", "reservoir", vehicle, func(s *story) { span(s, "300 mL") }, true, "200 mL drawn"},
		{"more drawn than was in it", "reservoir", vehicle, func(s *story) {
			span(s, "150 mL")
			edit(s, "LF bleed", func(b *journal.Bleed) { b.Drawn = q[unit.Volume]("400 mL") })
		}, false, "below MIN"},
		{"read at MIN", "reservoir", vehicle, func(s *story) {
			edit(s, "look 3", func(r *journal.Reservoir) { r.Before = q[unit.Ratio]("0 %") })
		}, true, "the level was read at MIN"},
		{"no look between two corners", "reservoir", vehicle, func(s *story) { s.drop("look 2") }, false, "nobody looked"},

		{"the vehicle’s order", "bleed-order", vehicle, func(*story) {}, true, "bled in the order RF, LF; the vehicle’s manual, 4-20 asks for RR, LR, RF, LF"},
		{"a diagonal split by its manual", "bleed-order", vehicle, order("RR", "LF", "LR", "RF"), false, "asks for RR, LF, LR, RF"},
		{"the same, in that order", "bleed-order", vehicle, func(s *story) {
			order("LR", "RF", "RR", "LF")(s)
		}, true, ""},
		{"the nearest first, as this manual has it", "bleed-order", vehicle, order("RF", "LF", "RR", "LR"), true, ""},
	})
	notAsked(t, []unasked{
		{"an order that is not on record", vehicle, func(s *story) {
			edit(s, "manual", func(m *journal.Manual) { m.Order = nil })
		}, []journal.HoldID{"bleed-order"}},
	})
}

// backAxle adds a rear caliper that comes off and goes back on.
func backAxle(s *story) {
	s.after("epb on", plain("LR off", bench1, at("LR", "caliper"), "mk", journal.Removal{}))
	s.after("LF bag empty", plain("LR on", bench1, at("LR", "caliper"), "mk", journal.Refitting{Bleeder: journal.BleederUp}))
}

// noService leaves out that the parking brake was electric.
func noService(s *story) { s.drop("epb on", "epb off", "epb set") }

// having says what kind of parking brake the vehicle has.
func having(kind journal.ParkingKind) func(*story) {
	return func(s *story) { edit(s, "manual", func(m *journal.Manual) { m.Parking = kind }) }
}

func does(all ...func(*story)) func(*story) {
	return func(s *story) {
		for _, one := range all {
			one(s)
		}
	}
}

// A parking brake is in service mode while its caliper is off, and is tried.
func TestParkingBrakes(t *testing.T) {
	vehicle := at("", "")
	adjusted := func(s *story) {
		s.after("look 3", plain("adjusted", bench1, vehicle, "mk", journal.ParkingBrake{State: journal.Adjusted}))
	}
	early := func(s *story) {
		s.after("LR off", plain("adjusted", bench1, vehicle, "mk", journal.ParkingBrake{State: journal.Adjusted}))
	}
	judged(t, []work{
		{"electric, all four steps", "parking-brake", vehicle, does(backAxle, having(journal.ElectricParking)), true, "in service mode and out again"},
		{"its kind shows by the service mode", "parking-brake", vehicle, backAxle, true, ""},
		{"service mode after the caliper came off", "parking-brake", vehicle, func(s *story) { backAxle(s); s.move("epb on", "LR off") }, false, "came off before the parking brake was put into service mode"},
		{"service mode after the caliper was on", "parking-brake", vehicle, func(s *story) { backAxle(s); s.move("epb on", "LR on") }, false, "came off before"},
		{"service mode after the caliper came off, and another caliper in its place", "parking-brake", vehicle, does(backAxle, func(s *story) {
			s.move("epb on", "LR off")
			s.after("LR off", plain("gear", bench1, at("LR", "caliper"), "mk", journal.Condition{Condition: journal.OtherCondition, Where: "gear of the parking brake", Decision: journal.RefuseRefit, Reason: "pressed back"}))
			s.steps[s.index("LR on")].about = at("LR", "caliper-2")
		}), true, "in service mode and out again"},
		{"out of service mode before the caliper was on", "parking-brake", vehicle, func(s *story) { backAxle(s); s.move("epb off", "LR off") }, false, "went back on after service mode was left"},
		{"still in service mode", "parking-brake", vehicle, func(s *story) { backAxle(s); s.drop("epb off") }, false, ""},
		{"electric, and no word of service mode", "parking-brake", vehicle, does(backAxle, noService, having(journal.ElectricParking)), false, "nobody has written that it was put into service mode"},
		{"nobody wrote what kind it is", "parking-brake", vehicle, does(backAxle, noService), false, "nobody has written what kind of parking brake"},
		{"electric by what was counted on the part", "parking-brake", vehicle, does(backAxle, noService, func(s *story) {
			s.after("LR off", plain("LR has", bench1, at("LR", "caliper"), "mk", journal.MakeUp{Bleeders: 1, Line: journal.ByBanjo, Parking: journal.ElectricParking}))
		}), false, "nobody has written that it was put into service mode"},
		{"a cable, adjusted", "parking-brake-set", vehicle, does(backAxle, noService, having(journal.CableParking), adjusted), true, "adjusted"},
		{"a cable needs no service mode", "parking-brake", vehicle, does(backAxle, noService, having(journal.CableParking)), true, "parking brake: cable"},
		{"a cable that nobody adjusted", "parking-brake-set", vehicle, does(backAxle, noService, having(journal.CableParking)), false, ""},
		{"a cable adjusted before the caliper was on", "parking-brake-set", vehicle, func(s *story) {
			does(backAxle, having(journal.CableParking), early)(s)
			noService(s)
		}, false, "went back on after the parking brake was set"},
		{"it holds on a slope", "parking-brake-held", vehicle, backAxle, true, "tried on a slope and holds"},
		{"it does not hold", "parking-brake-held", vehicle, func(s *story) {
			backAxle(s)
			edit(s, "epb hold", func(p *journal.ParkingTrial) { p.Holds = false })
		}, false, "does not hold"},
		{"nobody tried it", "parking-brake-held", vehicle, does(backAxle, func(s *story) { s.drop("epb hold") }), false, ""},
		{"tried before the caliper was on", "parking-brake-held", vehicle, func(s *story) { backAxle(s); s.move("epb hold", "LR off") }, false, "before the last work on it"},
		{"tried on the road test", "parking-brake-held", vehicle, func(s *story) {
			s.move("epb hold", "road")
			edit(s, "epb hold", func(p *journal.ParkingTrial) { p.How = journal.TriedOnRoad })
		}, true, "tried on the road test and holds"},
		{"driven, and tried after that", "road", vehicle, func(s *story) { s.move("epb hold", "road") }, true, ""},
	})
	notAsked(t, []unasked{
		{"the front axle alone", vehicle, func(s *story) { noService(s) }, []journal.HoldID{"parking-brake", "parking-brake-set", "parking-brake-held"}},
		{"a rear caliper without a parking brake", vehicle, does(backAxle, noService, having(journal.NoParkingBrake)), []journal.HoldID{"parking-brake", "parking-brake-set", "parking-brake-held"}},
		{"a drum that nobody touched", vehicle, does(backAxle, noService, having(journal.DrumParking)), []journal.HoldID{"parking-brake", "parking-brake-set", "parking-brake-held"}},
	})
}

// Stands for each axle that is worked on, or a lift.
func TestStands(t *testing.T) {
	vehicle := at("", "")
	raised := func(change func(*journal.Raising)) func(*story) {
		return func(s *story) { edit(s, "raised", change) }
	}
	judged(t, []work{
		{"two stands for one axle", "stands", vehicle, func(*story) {}, true, ""},
		{"one stand", "stands", vehicle, raised(func(r *journal.Raising) { r.Stands = 1 }), false, ""},
		{"a lift", "stands", vehicle, raised(func(r *journal.Raising) { r.Stands, r.Lift = 0, true }), true, "on a lift"},
		{"a lift after a part came off", "stands", vehicle, func(s *story) {
			raised(func(r *journal.Raising) { r.Stands, r.Lift = 0, true })(s)
			s.move("raised", "LF removed caliper")
		}, false, ""},
		{"four corners on four stands", "stands", vehicle, does(backAxle, raised(func(r *journal.Raising) { r.Stands = 4 })), true, "4 stands for two axles"},
		{"four corners on two stands", "stands", vehicle, backAxle, false, "2 stands for two axles"},
		{"one axle after the other on two stands", "stands", vehicle, func(s *story) {
			backAxle(s)
			s.after("LR off", plain("raised again", bench1, vehicle, "mk", journal.Raising{Points: "subframe", Stands: 2}))
		}, true, ""},
	})
}

// unstated leaves open what the parts of a corner have, and puts the new washers
// at a joint.
func unstated(joint string) func(*story) {
	return func(s *story) {
		s.drop("LF described caliper", "LF described bracket")
		edit(s, "LF washers", func(w *journal.Washers) { w.Joint = joint })
	}
}
