package route_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// plan is a right job of a kind in outline. Played, it becomes a story in which
// a case changes one thing.
type plan struct {
	route  journal.RouteID   // caliper if it says none
	fits   []fit             // the parts that come off, corner by corner
	closed bool              // the lines stay closed
	hangs  bool              // calipers hang aside; their bolts are tightened again
	line   journal.LineJoint // as somebody wrote it where the line was opened
	bled   []journal.Corner  // in this order
	whole  bool              // the fluid of the whole system is changed
	manual journal.Manual
	raised journal.Raising
}

// fit is a part with the preset by which it is described.
type fit struct {
	corner journal.Corner
	part   journal.PartID
	preset string
}

// on is a thing of the story's job.
func (s *story) on(corner journal.Corner, part journal.PartID) journal.Subject {
	return journal.About(s.job, corner, part)
}

// run is a run of the story's job.
func (s *story) run(name string) journal.Subject {
	return journal.Of("run", string(s.job)+"-"+name)
}

// can is the container of fluid that was opened for the job.
func (s *story) can() journal.FluidID { return journal.FluidID("bf-" + string(s.job)) }

// play plays a plan as a job.
func (p plan) play(tb testing.TB, id journal.JobID) *story {
	s := &story{tb: tb, job: id, citing: true}
	p.begin(s)
	for _, c := range p.corners() {
		p.takeOff(s, c)
	}
	if len(p.fits) > 0 {
		p.coat(s)
	}
	for _, c := range p.corners() {
		p.putBack(s, c)
	}
	p.bleed(s)
	p.end(s)
	return s
}

// corners are those from which parts come off, in the order of the plan.
func (p plan) corners() (list []journal.Corner) {
	for _, f := range p.fits {
		if !slices.Contains(list, f.corner) {
			list = append(list, f.corner)
		}
	}
	return list
}

// at are the parts of a corner.
func (p plan) at(c journal.Corner) (list []fit) {
	for _, f := range p.fits {
		if f.corner == c {
			list = append(list, f)
		}
	}
	return list
}

// rear reports whether a rear part has a parking brake of a kind.
func (p plan) rear(kind journal.ParkingKind) bool {
	return slices.ContainsFunc(p.fits, func(f fit) bool {
		return strings.HasSuffix(string(f.corner), "R") && p.manual.Parking == kind
	})
}

func (p plan) begin(s *story) {
	corners := p.corners()
	if len(corners) == 0 {
		corners = p.bled
	}
	card := journal.RouteID("caliper")
	if p.route != "" {
		card = p.route
	}
	s.add(
		plain("opened", office, s.on("", ""), "io", journal.Job{Vehicle: journal.Vehicle{Plate: "TRL " + string(s.job)}, Corners: corners, Odometer: q[unit.Distance]("84210 km"), Route: card, Edition: 1}),
		plain("received", bench1, s.on("", ""), "io", journal.Arrival{Found: []string{"dent"}, Agreed: true, Evidence: seen("as it came in")}),
	)
	if card == "caliper" {
		s.add(plain("manual", bench1, s.on("", ""), "io", p.manual))
	}
	s.add(plain("raised", bench1, s.on("", ""), "io", p.raised))
	if p.rear(journal.ElectricParking) {
		s.add(plain("service on", bench1, s.on("", ""), "mk", journal.ParkingBrake{State: journal.ServiceModeOn}))
	}
}

// takeOff takes a corner apart.
func (p plan) takeOff(s *story, c journal.Corner) {
	at := string(c) + " "
	for _, f := range p.at(c) {
		s.add(
			plain(at+"removed "+string(f.part), bench1, s.on(c, f.part), "mk", journal.Removal{Evidence: seen("as it came off")}),
			plain(at+"tagged "+string(f.part), bench1, s.on(c, f.part), "mk", journal.Tagging{Tag: at + string(f.part), Metal: journal.Iron, Evidence: seen("cast mark and tag")}),
			plain(at+"described "+string(f.part), bench1, s.on(c, f.part), "mk", *preset(s.tb, f.preset)),
		)
	}
	s.add(plain(at+"bag", bench1, s.on(c, ""), "mk", journal.Bagging{Bag: string(c), Items: []journal.Item{{What: "clip", Count: 2}}, Evidence: seen("bag of this corner")}))
	if p.opens(c) {
		s.add(plain(at+"opened", bench1, s.on(c, ""), "mk", journal.LineOpening{At: "hose at the caliper", Joins: p.line}))
	}
	for _, f := range p.at(c) {
		if rubber := preset(s.tb, f.preset).Rubber; len(rubber) > 0 {
			s.add(plain(at+"stripped "+string(f.part), bench1, s.on(c, f.part), "mk", journal.Stripping{Removed: []string{"piston"}, Rubber: journal.RubberOut, Out: rubber, Evidence: seen("rubber beside the bare body")}))
		}
	}
}

// opens reports whether the line of a corner is opened.
func (p plan) opens(c journal.Corner) bool {
	return !p.closed && slices.ContainsFunc(p.at(c), func(f fit) bool { return f.part == "caliper" })
}

// figure is by which figure, and with what, a joint of a preset is tightened.
type figure struct {
	spec   journal.SpecID
	torque string
	tool   journal.ToolID
}

func figures() map[string]figure {
	return map[string]figure{
		"banjo bolt": {"banjo", "22 N.m", "tw-2"}, "flare nut": {"flare", "16 N.m", "tw-2"}, "bracket bolt": {"bracket", "105 N.m", "tw-1"}, "guide pin bolt": {"pin", "30 N.m", "tw-2"},
		"mounting bolt": {"mount", "90 N.m", "tw-1"}, "actuator screw": {"actuator", "9 N.m", "tw-2"}, "ball joint nut": {"ball", "60 N.m", "tw-1"}, "bush bolt": {"bush", "90 N.m", "tw-1"},
	}
}

// bolt tightens a joint of a part.
func (s *story) bolt(on journal.Subject, j journal.Bolting) step {
	how := figures()[j.Joint]
	return plain(string(on.Corner())+" "+j.Joint, bench1, on, "mk", journal.Torque{
		Joint: j.Joint, Torque: q[unit.Torque](how.torque), Tool: how.tool, Spec: how.spec, Count: j.Bolts, NewBolts: j.SingleUse, Marked: true, Evidence: seen("paint line across head and seat"),
	})
}

// putBack puts a corner together again, what the caliper sits on first.
func (p plan) putBack(s *story, c journal.Corner) {
	at := string(c) + " "
	var line journal.LineJoin
	parts := p.at(c)
	slices.SortStableFunc(parts, func(a, b fit) int { return strings.Compare(string(a.part), string(b.part)) })
	for _, f := range parts {
		is := preset(s.tb, f.preset)
		s.add(plain(at+"seats "+string(f.part), bench1, s.on(c, f.part), "mk", journal.SeatProof{Shown: is.Bare(), State: journal.SeatBare, Evidence: seen("bare seats and faces")}))
		if len(is.Rubber) > 0 {
			s.add(plain(at+"rebuilt "+string(f.part), bench1, s.on(c, f.part), "mk", journal.Rebuild{NewParts: is.Rubber, Lubricant: "rubber grease", Evidence: seen("new seals and boots")}))
		}
	}
	for _, f := range parts {
		is, bleeder := preset(s.tb, f.preset), journal.NoBleeder
		if is.Bleeders > 0 {
			bleeder = journal.BleederUp
		}
		s.add(plain(at+"refitted "+string(f.part), bench1, s.on(c, f.part), "mk", journal.Refitting{Bleeder: bleeder, Evidence: seen("back on, bleeder screw up")}))
		for _, j := range is.Joints {
			if j.Joint != "banjo bolt" {
				s.add(s.bolt(s.on(c, f.part), j))
			}
		}
		if is.Line != journal.NoLine {
			line = is.Line
		}
	}
	if p.hangs {
		s.add(s.bolt(s.on(c, "caliper"), journal.Bolting{Joint: "guide pin bolt", Bolts: 2}))
	}
	if p.opens(c) {
		joint := map[bool]string{true: "flare nut", false: "banjo bolt"}[p.line == journal.JoinsByFlare || p.line == "" && line == journal.ByFlareNut]
		if joint == "banjo bolt" {
			s.add(plain(at+"washers", bench1, s.on(c, ""), "mk", journal.Washers{Joint: joint, Count: 2, Material: journal.CopperWasher, Evidence: seen("new washers")}))
		}
		s.add(plain(at+"connected", bench1, s.on(c, ""), "mk", journal.LineConnection{At: "hose at the caliper"}), s.bolt(s.on(c, ""), journal.Bolting{Joint: joint, Bolts: 1}))
	}
	s.add(plain(at+"bag empty", bench1, s.on(c, ""), "mk", journal.Snapshot{Evidence: seen("bag empty")}))
}

// bleed fills and bleeds, with a look at the reservoir in between.
func (p plan) bleed(s *story) {
	if len(p.bled) == 0 {
		return
	}
	s.add(
		plain("can", bench1, journal.Of("fluid", string(s.can())), "mk", journal.FluidContainer{Fluid: s.can(), Grade: p.manual.Fluid, UseBy: "2028-12-31"}),
		s.look(0),
	)
	for i, c := range p.bled {
		s.add(s.cup(string(c)+" bleed", c, func(b *journal.Bleed) { b.Whole, b.Screws = p.whole, p.screws(s.tb, c) }), s.look(i+1))
	}
}

// screws is how many bleeder screws a corner has.
func (p *plan) screws(tb testing.TB, c journal.Corner) (n int) {
	for _, f := range p.fits {
		if f.corner == c {
			n += preset(tb, f.preset).Bleeders
		}
	}
	return n
}

// cup bleeds a corner once.
func (s *story) cup(name string, c journal.Corner, change func(*journal.Bleed)) step {
	b := journal.Bleed{Fluid: s.can(), Drawn: q[unit.Volume]("100 mL"), Bubbles: journal.NoBubbles, Screw: q[unit.Torque]("12 N.m"), Tool: "tw-2", Evidence: seen("no bubbles in the tube")}
	change(&b)
	return plain(name, bench1, s.on(c, ""), "mk", b)
}

// look looks at the reservoir and tops it up.
func (s *story) look(n int) step {
	return plain(fmt.Sprintf("look %d", n), bench1, s.on("", ""), "mk", journal.Reservoir{
		Before: q[unit.Ratio]("55 %"), After: q[unit.Ratio]("90 %"), Added: q[unit.Volume]("90 mL"), Fluid: s.can(), Evidence: seen("fluid level"),
	})
}

// end sets the parking brake, checks, fits the wheels and drives.
func (p plan) end(s *story) {
	vehicle := s.on("", "")
	if p.rear(journal.ElectricParking) {
		s.add(
			plain("service off", bench1, vehicle, "mk", journal.ParkingBrake{State: journal.ServiceModeOff}),
			plain("parking set", bench1, vehicle, "mk", journal.ParkingBrake{State: journal.Calibrated, LampOff: true}),
		)
	}
	if p.rear(journal.CableParking) {
		s.add(plain("parking set", bench1, vehicle, "mk", journal.ParkingBrake{State: journal.Adjusted}))
	}
	if p.rear(journal.ElectricParking) || p.rear(journal.CableParking) {
		s.add(plain("parking tried", bench1, vehicle, "mk", journal.ParkingTrial{How: journal.TriedOnSlope, Holds: true}))
	}
	if len(p.bled) > 0 {
		s.add(plain("leak", bench1, vehicle, "mk", journal.LeakCheck{Held: q[unit.Duration]("60 s"), Result: journal.Dry}))
	}
	if p.route != "arm" {
		s.add(plain("pedal", bench1, vehicle, "mk", journal.PedalCheck{Feel: journal.PedalFirm}))
	}
	for _, torque := range []struct {
		step journal.WheelStep
		of   string
	}{{journal.WheelSnug, "50 N.m"}, {journal.WheelFull, "120 N.m"}} {
		for _, c := range p.corners() {
			s.add(plain(fmt.Sprintf("%s %.4s", c, torque.step), bench1, s.on(c, ""), "mk", journal.WheelFit{Step: torque.step, Nuts: 5, Pattern: journal.StarPattern, Torque: q[unit.Torque](torque.of), Tool: "tw-3", Spec: "wheel", Evidence: seen("nuts with their line")}))
		}
	}
	s.add(
		plain("road", bench1, vehicle, "io", journal.RoadTest{Distance: q[unit.Distance]("6 km"), Result: "straight"}),
		linked("second", bench2, vehicle, "jr", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.SecondCheck{Of: ids["road"], Finds: journal.FoundRight}
		}),
	)
}
