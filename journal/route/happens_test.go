package route_test

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// What happens in workshops and takes more than one step.

// twoCups bleeds a corner twice, with a look and a top-up in between.
func twoCups(s *story) {
	edit(s, "RF bleed", func(b *journal.Bleed) { b.Bubbles = journal.SomeBubbles })
	top := s.look(7)
	s.after("RF bleed", top)
	s.after(top.name, s.cup("RF cup 2", "RF", func(b *journal.Bleed) { b.ByHand, b.Screw, b.Tool = true, unit.Torque{}, "" }))
}

// ranDry draws air in at the second corner, so that all are bled again.
func ranDry(s *story) {
	edit(s, "look 2", func(r *journal.Reservoir) { r.RanDry = true })
	behind := "look 2"
	for i, c := range []journal.Corner{"RR", "LR", "RF", "LF"} {
		for _, st := range []step{s.cup(fmt.Sprintf("%s bleed 2", c), c, func(*journal.Bleed) {}), s.look(10 + i)} {
			s.after(behind, st)
			behind = st.name
		}
	}
	first := s.look(9)
	s.after("look 2", first)
}

// wept finds a drop at the leak check, and makes the joint anew.
func wept(s *story) {
	again("leak", "leak", asIs[journal.LeakCheck])(s)
	edit(s, "leak", func(l *journal.LeakCheck) { l.Result = journal.Weeping })
	behind := "leak"
	for _, st := range []step{
		plain("opened again", bench1, s.on("LF", ""), "mk", journal.LineOpening{At: "hose at the caliper"}),
		plain("washers again", bench1, s.on("LF", ""), "mk", journal.Washers{Joint: "banjo bolt", Count: 2, Material: journal.CopperWasher}),
		plain("connected again", bench1, s.on("LF", ""), "mk", journal.LineConnection{At: "hose at the caliper"}),
		s.bolt(s.on("LF", ""), journal.Bolting{Joint: "banjo bolt", Bolts: 1}),
		s.look(8), s.cup("LF bleed 2", "LF", func(*journal.Bleed) {}), s.look(9),
	} {
		st.name += " after the leak"
		s.after(behind, st)
		behind = st.name
	}
}

// foundWrong has the second person find something, and look again when it is
// mended.
func foundWrong(s *story) {
	edit(s, "second", func(c *journal.SecondCheck) { c.Finds = journal.FoundWrong })
	tight := s.bolt(s.on("LF", "caliper"), journal.Bolting{Joint: "guide pin bolt", Bolts: 2})
	tight.name = "tight again"
	s.add(tight, plain("drive", bench1, s.on("", ""), "io", journal.RoadTest{Distance: q[unit.Distance]("3 km"), Result: "straight"}))
	s.add(linked("second look", bench2, s.on("", ""), "jr", func(ids map[string]journal.EntryID) journal.Payload {
		return &journal.SecondCheck{Of: ids["drive"], Finds: journal.FoundRight}
	}))
}

// recoated strips one caliper for a pinhole and takes it through once more.
func recoated(s *story) {
	one := fit{"LF", "caliper", floating}
	about := s.on("LF", "caliper")
	more := &story{tb: s.tb, job: s.job}
	more.add(
		plain("pinhole", bench1, about, "mk", journal.Defect{Looks: "pinhole", Face: "back", Seen: journal.AfterBake}),
		linked("decided", bench1, about, "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Rework{Of: ids["pinhole"], Decision: journal.StripAndRecoat, Reason: "it can be seen"}
		}),
	)
	rack := journal.Rack{Parts: []journal.Subject{about}}
	more.prepare(rack)
	more.add(more.mask(one))
	more.powder(rack)
	more.add(more.unmask(one), more.film(one))
	behind := "film RF bracket"
	for _, st := range more.steps {
		if st.about.Run() != "" {
			st.about += "-2"
		}
		if st.name != "pinhole" {
			st.name += " 2"
		}
		s.after(behind, st)
		behind = st.name
	}
}

// twoCoats bakes a second coat over the first.
func twoCoats(s *story) {
	again("bake", "cured", asIs[journal.BakeStart])(s)
	again("trace", "bake again", asIs[journal.ProbeTrace])(s)
	again("powder", "cured", func(c *journal.Coating) { c.Coat = 2 })(s)
	for _, name := range []string{"bake again", "trace again"} {
		s.steps[s.index(name)].about += "-2"
	}
	edit(s, "trace again", func(p *journal.ProbeTrace) { retrace(p, warming(40, 205)) })
}
