package route_test

import (
	"slices"
	"strings"

	"fettlebook/journal"
)

// crackedThere finds the LF caliper cracked after the blast, and decides.
func crackedThere(what journal.ConditionDecision) func(*story) {
	return then("blast", func(s *story) step {
		return plain("cracked", bench1, lfCaliper(s), "mk", journal.Condition{Condition: journal.CrackedEar, Where: "upper ear", Decision: what, Reason: "cracked through"})
	})
}

// seizedThere finds a bleeder screw of the LF caliper seized, and has another one
// go in.
func seizedThere(s *story) {
	s.after("blast", plain("seized", bench1, lfCaliper(s), "mk", journal.Condition{Condition: journal.SeizedBleeder, Where: "bleeder thread", Decision: journal.ReplaceIt, Reason: "rounded off"}))
}

// numbered reads the same number on the first casting and on the other.
var numbered = does(with("LF tagged caliper", func(t *journal.Tagging) { t.Number = "S-100" }), with("other tagged", func(t *journal.Tagging) { t.Number = "s-100" }))

// scrapped scraps the LF caliper for a defect that shows after the blast.
func scrapped(s *story) {
	s.after("blast", plain("pore", bench1, lfCaliper(s), "mk", journal.Defect{Looks: "pinhole", Face: "back", Seen: journal.AfterBake}))
	s.after("pore", linked("scrapped", bench1, lfCaliper(s), "mk", func(ids map[string]journal.EntryID) journal.Payload {
		return &journal.Rework{Of: ids["pore"], Decision: journal.ScrapPart, Reason: "porous"}
	}))
}

// otherCasting has another casting go in from a step on, under a name of its
// own: whatever comes after that is done to it.
func otherCasting(from string) func(*story) {
	return func(s *story) {
		old, fresh := lfCaliper(s), s.on("LF", "caliper-2")
		at, behind := s.index(from)+1, from
		for i := at; i < len(s.steps); i++ {
			if s.steps[i].about == old {
				s.steps[i].about = fresh
			}
		}
		swap := func(r *journal.Rack) {
			r.Parts = slices.Clone(r.Parts)
			r.Parts[slices.Index(r.Parts, old)] = fresh
		}
		edit(s, "soak", func(d *journal.Soaking) { swap(&d.Rack) })
		edit(s, "powder", func(d *journal.Coating) { swap(&d.Rack) })
		edit(s, "bake", func(d *journal.BakeStart) {
			swap(&d.Rack)
			for i := range d.Probes {
				if d.Probes[i].On == old {
					d.Probes[i].On = fresh
				}
			}
		})
		is := *preset(s.tb, floating)
		list := []step{
			plain("other tagged", bench1, fresh, "mk", journal.Tagging{Tag: "LF caliper 2", Number: "S-200", Metal: journal.Iron, Evidence: seen("number and tag of the other")}),
			plain("other described", bench1, fresh, "mk", is),
			plain("other stripped", bench1, fresh, "mk", journal.Stripping{Removed: []string{"piston"}, Rubber: journal.RubberOut, Out: is.Rubber, Evidence: seen("rubber beside the other body")}),
			plain("other washed", bench1, fresh, "mk", journal.Degreasing{Agent: "alkaline bath"}),
			plain("other blasted", bench1, fresh, "mk", journal.Blasting{Media: "glass bead"}),
		}
		for _, st := range list {
			s.after(behind, st)
			behind = st.name
		}
	}
}

// cameBare has the other casting come without rubber, so that nobody strips it.
var cameBare = does(without("other stripped"), with("other described", func(m *journal.MakeUp) { m.CameBare = true }))

// renumbered reads another number on the LF caliper, by the same name.
func renumbered(s *story) {
	edit(s, "LF tagged caliper", func(t *journal.Tagging) { t.Number = "S-100" })
	s.after("cracked", plain("tagged anew", bench1, lfCaliper(s), "mk", journal.Tagging{Tag: "LF caliper", Number: "S-200", Metal: journal.Iron}))
}

func honestReplaced() []jobCase {
	return []jobCase{
		{"a cracked caliper, refused, and another one in its place", front, does(crackedThere(journal.RefuseRefit), otherCasting("cracked")),
			"all-back", "LF", "back on: caliper, bracket"},
		{"a cracked caliper, replaced", front, does(crackedThere(journal.ReplaceIt), otherCasting("cracked")),
			"rubber-out", "LF caliper-2", "all rubber out before any heat"},
		{"a cracked caliper, replaced by one that says whose place it takes", front, does(crackedThere(journal.ReplaceIt), otherCasting("cracked")),
			"defects", "LF caliper-2", "in the place of the caliper, which does not go back: cracked ear at upper ear; no defect of the coat was written down"},
		{"a porous caliper, scrapped, and another one in its place", front, does(scrapped, otherCasting("scrapped")),
			"masked", "LF caliper-2", "9 bores, threads and seats masked"},
		{"a bleeder screw replaced, and the caliper back on", front, seizedThere,
			"sound", "LF caliper", "seized bleeder screw at bleeder thread: replace"},
		{"to be replaced at first, and repaired then", front, does(crackedThere(journal.ReplaceIt), func(s *story) {
			s.after("cracked", linked("ruled", bench1, lfCaliper(s), "mk", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.ConditionRuling{Of: ids["cracked"], Decision: journal.RepairIt, Reason: "welded by the maker’s procedure"}
			}))
		}),
			"sound", "LF caliper", "cracked ear at upper ear: repair"},
		{"another casting that came without rubber", front, does(crackedThere(journal.RefuseRefit), otherCasting("cracked"), cameBare),
			"rubber-out", "LF caliper-2", "the part came without rubber in it"},
		{"a casting that came without rubber, counted again", front, does(crackedThere(journal.RefuseRefit), otherCasting("cracked"), cameBare, again("other described", "bake", asIs[journal.MakeUp])),
			"rubber-out", "LF caliper-2", "the part came without rubber in it"},
		{"a bought casting, with a bush in it all the same", front, does(crackedThere(journal.RefuseRefit), otherCasting("cracked"), cameBare, then("other described", func(s *story) step {
			return plain("other stripped", bench1, s.on("LF", "caliper-2"), "mk", journal.Stripping{Removed: []string{"plug of rubber"}, Rubber: journal.RubberOut})
		})),
			"rubber-out", "LF caliper-2", "all rubber out before any heat"},
		{"a casting that the customer brought, without rubber", front, does(without("LF stripped caliper"),
			with("LF removed caliper", func(r *journal.Removal) { r.Supplied = true }), with("LF described caliper", func(m *journal.MakeUp) { m.CameBare = true })),
			"rubber-out", "LF caliper", "the part came without rubber in it"},
		{"a number that was read wrong, corrected", front, does(crackedThere(journal.RepairIt), renumbered, func(s *story) {
			s.after("tagged anew", linked("corrected", bench1, lfCaliper(s), "mk", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.Correction{Of: ids["tagged anew"], Reason: "read wrong", Data: []byte(`{"tag":"LF caliper","number":"S-100","metal":"iron"}`)}
			}))
		}),
			"all-back", "LF", "back on: bracket, caliper"},
	}
}

func wrongReplaced() []jobCase {
	whole := does(crackedThere(journal.RefuseRefit), otherCasting("cracked"))
	return []jobCase{
		{"refused, and nothing in its place", front, does(crackedThere(journal.RefuseRefit), func(s *story) {
			s.steps = slices.DeleteFunc(s.steps, func(st step) bool { return st.about == lfCaliper(s) && strings.HasPrefix(st.name, "LF refitted") })
		}),
			"all-back", "LF", "the caliper does not go back, and nothing is in its place yet: enter the one that goes in as caliper-2"},
		{"a cracked caliper, to be replaced, and back on all the same", front, crackedThere(journal.ReplaceIt),
			"sound", "LF caliper", "cracked ear at upper ear: replace, and the part is back on"},
		{"a cracked caliper, to be replaced, and nothing in its place", front, does(crackedThere(journal.ReplaceIt), func(s *story) {
			s.steps = slices.DeleteFunc(s.steps, func(st step) bool { return st.about == lfCaliper(s) && strings.HasPrefix(st.name, "LF refitted") })
		}),
			"all-back", "LF", "the caliper does not go back, and nothing is in its place yet: enter the one that goes in as caliper-2"},
		{"the refused casting, by another name", front, does(whole, numbered),
			"all-back", "LF", "the caliper-2 is the same casting as the caliper, which does not go back: enter the one that goes in as caliper-3, or correct what says so"},
		{"the refused casting, by another name and taken off", front, does(whole, numbered, then("cracked", func(s *story) step {
			return plain("other removed", bench1, s.on("LF", "caliper-2"), "mk", journal.Removal{})
		})),
			"all-back", "LF", "the caliper-2 is the same casting as the caliper, which does not go back: enter the one that goes in as caliper-3, or correct what says so"},
		{"the other casting, stripped by what came out of the first", front, does(whole, without("other stripped")),
			"rubber-out", "LF caliper-2", "the part went into heat with rubber in it, or before anyone wrote that it was out; nobody has written yet that all the rubber is out"},
		{"a cracked caliper, to be replaced, and fitted again", front, crackedThere(journal.ReplaceIt),
			"sound", "LF caliper", "cracked ear at upper ear: replace, and the part is back on"},
		{"the other casting left on the bench", front, does(whole, without("LF refitted caliper")),
			"all-back", "LF", "the caliper-2 is not back on"},
		{"another casting that came without rubber, and none went in", front, does(whole, cameBare, without("LF rebuilt caliper")),
			"rebuilt", "LF caliper-2", "not rebuilt yet"},
		{"said to have come without rubber when it was baked", front, does(whole, cameBare, func(s *story) { s.move("other described", "bake") }),
			"rubber-out", "LF caliper-2", "the part went into heat with rubber in it, or before anyone wrote that it was out"},
		{"a casting without rubber, rebuilt before the bake", front, does(whole, cameBare, moved("LF rebuilt caliper", "soak")),
			"rubber-out", "LF caliper-2", "the part went into heat with rubber in it, or before anyone wrote that it was out"},
		{"the vehicle’s own caliper, said to have come without rubber", front, does(without("LF stripped caliper"), with("LF described caliper", func(m *journal.MakeUp) { m.CameBare = true })),
			"rubber-out", "LF caliper", "it was stated that the part came without rubber in it, but it was taken off the vehicle; the part went into heat with rubber in it, or before anyone wrote that it was out; nobody has written yet that all the rubber is out"},
		{"another casting by the name of the first", front, does(crackedThere(journal.RepairIt), renumbered),
			"all-back", "LF", "the numbers S-100 and S-200 were read on the caliper: correct the one that is wrong or, if the casting was replaced, enter the other one as caliper-2"},
	}
}
