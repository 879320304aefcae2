package route_test

import (
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// trial is what can go wrong with one hold of the card for calipers.
type trial struct {
	hold  journal.HoldID
	about journal.Subject
	// breaks does one thing wrong.
	breaks func(*story)
	// order moves entries only. Some holds are about one entry alone, and no
	// order can break them.
	order func(*story)
	// late is an entry of another tablet that comes in last and changes the
	// verdict, with the entry behind which it was written.
	behind string
	late   step
}

func slowly(s *story, name string, d time.Duration) { s.steps[s.index(name)].after = d }

func torqueAs(s *story, name, torque string) {
	edit(s, name, func(t *journal.Torque) { t.Torque = q[unit.Torque](torque) })
}

// late makes the step of another tablet.
func late[P any, PP interface {
	*P
	journal.Payload
}](about journal.Subject, data P) step {
	return plain[P, PP]("late", bench2, about, "jr", data)
}

func trials() []trial {
	vehicle, lf, caliper, bracket := at("", ""), at("LF", ""), at("LF", "caliper"), at("LF", "bracket")
	rack := journal.Rack{Parts: []journal.Subject{caliper}}
	reopened := late(lf, journal.LineOpening{At: "banjo LF"})
	soak := journal.Soaking{Rack: rack, Set: q[unit.Temperature]("220 °C"), Held: q[unit.Duration]("100 min"), Rag: "stained"}
	blasted := late("run/blast-9", journal.Blasting{Rack: rack, Media: "glass bead"})
	off := late(caliper, journal.Removal{})
	found := late("tool/tw-2", journal.ToolCheck{Tool: "tw-2", Result: "out of tolerance"})
	foundBig := late("tool/tw-1", journal.ToolCheck{Tool: "tw-1", Result: "adjusted, was out"})
	bled := journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume]("100 mL"), Bubbles: "none"}
	return []trial{
		{"agreed", vehicle, func(s *story) { edit(s, "received", func(a *journal.Arrival) { a.Agreed = false }) },
			func(s *story) { s.move("received", "LF removed caliper") }, "opened", late(caliper, journal.Removal{})},
		{"stands", vehicle, func(s *story) { edit(s, "raised", func(r *journal.Raising) { r.Stands = 1 }) },
			func(s *story) { s.move("raised", "LF removed caliper") }, "received", late(caliper, journal.Removal{})},
		{"make-up", bracket, func(s *story) { s.drop("LF described bracket") }, nil, "", step{}},
		{"rubber-out", caliper, func(s *story) { edit(s, "LF strip", func(p *journal.Stripping) { p.Rubber = "left in" }) },
			func(s *story) { s.move("LF strip", "bake") }, "received", late("run/soak-9", soak)},
		{"no-chlorine", caliper, func(s *story) { edit(s, "wash", func(d *journal.Degreasing) { d.Chlorinated = true }) },
			nil, "wash", late("run/wash-9", journal.Degreasing{Rack: rack, Agent: "spray", Chlorinated: true})},
		{"delays", caliper, func(s *story) { slowly(s, "soak", 5*time.Hour) }, nil, "", step{}},
		{"masked", caliper, func(s *story) { s.drop("mask LF caliper") },
			func(s *story) { s.move("mask LF caliper", "powder") }, "soak", late(caliper, journal.Unmasking{Plugs: 7})},
		{"masked-photo", caliper, unseen("mask LF caliper", "mask LF bracket"), nil, "", step{}},
		{"soaked", caliper, func(s *story) { edit(s, "soak", func(p *journal.Soaking) { p.Rag = "stained" }) }, nil, "soak", late("run/soak-9", soak)},
		{"order", caliper, func(s *story) { s.move("blast", "mask LF caliper") },
			func(s *story) { s.move("wash", "soak") }, "mask RF caliper", blasted},
		{"dew-point", caliper, func(s *story) {
			edit(s, "powder", func(c *journal.Coating) { c.Metal, c.Humidity = q[unit.Temperature]("21 °C"), q[unit.Ratio]("95 %") })
		}, nil,
			"powder", late("run/coat-9", journal.Coating{Rack: rack, Lot: "so-118", Coat: 2})},
		{"cure", caliper, func(s *story) { edit(s, "trace", func(p *journal.ProbeTrace) { short(p) }) },
			func(s *story) { s.move("powder", "cured") }, "cured", late("run/coat-9", journal.Coating{Rack: rack, Lot: "so-118", Coat: 2})},
		{"overbake", caliper, func(s *story) {
			edit(s, "lot", func(l *journal.PowderLot) {
				l.Most = []journal.BakePoint{{Metal: q[unit.Temperature]("200 °C"), Hold: q[unit.Duration]("30 min")}}
			})
			edit(s, "trace", func(p *journal.ProbeTrace) { long(p) })
		}, nil, "film LF caliper", late(caliper, journal.Defect{Looks: "off colour", Face: "edge", Seen: "after bake"})},
		{"plugs-out", caliper, func(s *story) { edit(s, "unmask LF caliper", func(u *journal.Unmasking) { u.Plugs = 6 }) },
			func(s *story) { s.move("mask LF caliper", "unmask LF caliper") }, "mask LF caliper", late(caliper, journal.Masking{Features: []journal.Item{{What: "thread", Count: 1}}, Plugs: 1})},
		{"film", caliper, func(s *story) {
			edit(s, "film LF caliper", func(f *journal.FilmReadings) { f.Spots = spots("130 µm") })
		},
			func(s *story) { s.move("film LF caliper", "soak") }, "film RF bracket", late("run/coat-9", journal.Coating{Rack: rack, Lot: "so-118", Coat: 2})},
		{"defects", caliper, func(s *story) {
			s.after("film LF caliper", plain("pinhole", bench1, caliper, "mk", journal.Defect{Looks: "pinhole", Face: "back", Seen: "after bake"}))
		}, nil, "film LF caliper", late(caliper, journal.Defect{Looks: "run", Face: "edge", Seen: "after bake"})},
		{"seats-bare", caliper, func(s *story) { edit(s, "LF seats caliper", func(p *journal.SeatProof) { p.State = "film left" }) },
			func(s *story) { s.move("LF seats caliper", "LF refitted caliper") }, "LF seats caliper", late("run/coat-9", journal.Coating{Rack: rack, Lot: "so-118", Coat: 2})},
		{"seats-photo", caliper, unseen("LF seats caliper", "LF seats bracket"), nil, "", step{}},
		{"rebuilt", caliper, func(s *story) { edit(s, "LF rebuilt", func(p *journal.Rebuild) { p.NewParts = nil }) },
			func(s *story) { s.move("LF rebuilt", "LF refitted caliper") }, "LF rebuilt", late("run/soak-9", soak)},
		{"bleeder-up", caliper, func(s *story) { edit(s, "LF refitted caliper", func(p *journal.Refitting) { p.Bleeder = "down" }) },
			func(s *story) { s.move("LF refitted caliper", "opened") }, "road", off},
		{"all-back", lf, func(s *story) { s.drop("LF refitted bracket") },
			func(s *story) { s.move("LF refitted bracket", "opened") }, "road", off},
		{"washers", lf, func(s *story) { edit(s, "LF washers", func(p *journal.Washers) { p.Count = 1 }) },
			func(s *story) { s.move("LF washers", "LF bag") }, "LF washers", reopened},
		{"line-closed", lf, func(s *story) { s.drop("LF connected") },
			func(s *story) { s.move("LF connected", "LF bag") }, "road", reopened},
		{"banjo-torque", lf, func(s *story) { torqueAs(s, "LF banjo bolt", "29 N.m") },
			func(s *story) { s.move("LF opened", "LF banjo bolt") }, "road", found},
		{"bracket-torque", lf, func(s *story) { edit(s, "LF bracket bolts", func(p *journal.Torque) { p.Count = 1 }) },
			func(s *story) { s.move("LF bracket bolts", "LF removed bracket") }, "road", foundBig},
		{"caliper-torque", lf, func(s *story) { edit(s, "LF pin bolts", func(p *journal.Torque) { p.Tool = "tw-9" }) },
			func(s *story) { s.move("check tw-2", "road") }, "road", found},
		{"actuator-torque", lf, func(s *story) { edit(s, "LF actuator", func(p *journal.Torque) { p.Count = 1 }) },
			func(s *story) { s.move("LF actuator", "LF removed caliper") }, "road", found},
		{"torque-shown", lf, func(s *story) { edit(s, "LF banjo bolt", func(p *journal.Torque) { p.Marked = false }) }, nil, "", step{}},
		{"bag-empty", lf, func(s *story) { s.drop("LF bag empty") },
			func(s *story) { s.move("LF bag empty", "LF bag") }, "LF bag empty", late(caliper, journal.Refitting{Bleeder: "up"})},
		{"bled", lf, func(s *story) { edit(s, "LF bleed", func(b *journal.Bleed) { b.Bubbles = "some" }) },
			func(s *story) { s.move("LF connected", "LF bleed") }, "LF bleed", reopened},
		{"screw-torque", lf, func(s *story) {
			edit(s, "LF bleed", func(b *journal.Bleed) { b.Screw = q[unit.Torque]("12 lbf.ft"); b.Tool = "tw-9" })
		},
			func(s *story) { s.move("check tw-2", "road") }, "road", found},
		{"bled-complete", vehicle, func(s *story) { s.drop("LF bleed") },
			func(s *story) { s.move("LF bleed", "LF bag") }, "LF bleed", reopened},
		{"bleed-order", vehicle, func(s *story) { s.after("LF bleed", plain("again", bench1, at("RF", ""), "mk", bled)) },
			func(s *story) { s.move("RF bleed", "look 3") }, "look 3", late(at("RF", ""), bled)},
		{"reservoir", vehicle, func(s *story) { edit(s, "look 2", func(r *journal.Reservoir) { r.RanDry = true }) },
			func(s *story) { s.move("look 2", "look 3") }, "look 2", late(at("RF", ""), bled)},
		{"fluid", vehicle, func(s *story) {
			s.after("fluid", plain("silicone", office, "fluid/bf-99", "io", journal.FluidContainer{Fluid: "bf-99", Grade: "DOT 5"}))
			edit(s, "LF bleed", func(b *journal.Bleed) { b.Fluid = "bf-99" })
		}, nil, "look 3", late(vehicle, journal.Reservoir{Before: q[unit.Ratio]("80 %"), After: q[unit.Ratio]("90 %"), Fluid: "bf-77"})},
		{"fluid-grade", vehicle, func(s *story) {
			edit(s, "manual", func(m *journal.Manual) { m.Fluid = journal.DOT51 })
		}, nil,
			"manual", late(vehicle, journal.Manual{Fluid: journal.DOT51, From: journal.ReadInManual})},
		{"fluid-fresh", vehicle, func(s *story) {
			edit(s, "fluid", func(f *journal.FluidContainer) { f.Opened = "2026-02-01" })
		}, nil, "", step{}},
		{"leak", vehicle, func(s *story) { edit(s, "leak", func(l *journal.LeakCheck) { l.Held = q[unit.Duration]("10 s") }) },
			func(s *story) { s.move("leak", "RF bleed") }, "leak", reopened},
		{"pedal", vehicle, func(s *story) { edit(s, "pedal", func(p *journal.PedalCheck) { p.Feel = "sinking" }) },
			func(s *story) { s.move("pedal", "RF bleed") }, "pedal", reopened},
		{"parking-brake", vehicle, func(s *story) { s.drop("epb off") },
			func(s *story) { s.move("epb off", "received") }, "road", late(vehicle, journal.ParkingBrake{State: "service mode on"})},
		{"parking-brake-set", vehicle, func(s *story) { s.drop("epb set") },
			func(s *story) { s.move("epb set", "received") }, "epb set", late(vehicle, journal.ParkingBrake{State: "service mode on"})},
		{"parking-brake-held", vehicle, func(s *story) { s.drop("epb hold") },
			func(s *story) { s.move("epb hold", "received") }, "epb hold", late(vehicle, journal.ParkingBrake{State: "service mode on"})},
		{"wheel", lf, func(s *story) { edit(s, "LF full", func(f *journal.WheelFit) { f.Pattern = "in turn" }) },
			func(s *story) { s.move("LF snug", "LF full") }, "LF full", off},
		{"road", vehicle, func(s *story) { s.drop("road"); s.drop("second") },
			func(s *story) { s.move("road", "leak"); s.drop("second") }, "road", late(lf, journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: "tw-2", Spec: "banjo"})},
		{"second-person", vehicle, func(s *story) { s.steps[s.index("second")].by = "mk" },
			func(s *story) { s.move("LF banjo bolt", "second") }, "second", late(lf, bled)},
	}
}

// short leaves only the first ten minutes of a trace.
func short(p *journal.ProbeTrace) { cut := warming(10, 205); retrace(p, cut) }

// long goes on for an hour and a half.
func long(p *journal.ProbeTrace) { retrace(p, warming(90, 205)) }

func retrace(p *journal.ProbeTrace, with journal.ProbeTrace) {
	p.Seconds = with.Seconds
	for i := range p.Channels {
		p.Channels[i].Readings = with.Channels[0].Readings
	}
}

// Each hold is met by the complete job, is broken by one thing done wrong, by
// a wrong order alone, and by an entry that comes late from another tablet.
func TestHolds(t *testing.T) {
	pinned := supplied(t, "caliper")
	// This job has no flare nut (TestLinesAndBleeding), no aluminium (TestHonestJobs), and
	// nothing was found at its parts (TestConditions).
	tried := map[journal.HoldID]bool{"flare-torque": true, "heat-dose": true, "sound": true}
	for _, trial := range trials() {
		tried[trial.hold] = true
		t.Run(string(trial.hold), func(t *testing.T) {
			state := func(s *story) route.Verdict {
				return stands(checked(pinned, s.write().log), trial.hold, trial.about)
			}
			if v := state(complete(t)); v.State != route.Met {
				t.Fatalf("complete job: %s: %s", v.State, v.Why)
			}
			wrong := complete(t)
			trial.breaks(wrong)
			if v := state(wrong); v.State == route.Met || v.Why == "" {
				t.Errorf("done wrong: %s: %s", v.State, v.Why)
			}
			if trial.order != nil {
				moved := complete(t)
				trial.order(moved)
				if v := state(moved); v.State == route.Met || v.Why == "" {
					t.Errorf("in another order: %s: %s", v.State, v.Why)
				}
			}
			if trial.behind != "" && trial.late.data != nil {
				s := complete(t)
				s.after(trial.behind, trial.late)
				w := s.write()
				if v := stands(checked(pinned, w.without(t, w.ids["late"])), trial.hold, trial.about); v.State != route.Met {
					t.Fatalf("before the late entry came: %s: %s", v.State, v.Why)
				}
				if v := stands(checked(pinned, w.log), trial.hold, trial.about); v.State == route.Met || v.Why == "" {
					t.Errorf("after the late entry came: %s: %s", v.State, v.Why)
				}
			}
		})
	}
	for _, s := range pinned.Stages {
		for _, h := range s.Holds {
			if !tried[h.ID] {
				t.Errorf("the hold %s is not tried", h.ID)
			}
		}
	}
}
