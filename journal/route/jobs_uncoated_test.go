package route_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/trade/unit"
)

// uncoated has a part of a front pair go back without a coat: nothing is said of
// powder on it. Its rubber is new.
func uncoated(corner journal.Corner, part journal.PartID) func(*story) {
	return func(s *story) {
		name, on := string(corner)+" "+string(part), s.on(corner, part)
		edit(s, string(corner)+" described "+string(part), func(m *journal.MakeUp) { m.Uncoated = true })
		s.drop("mask "+name, "unmask "+name, "film "+name, string(corner)+" seats "+string(part))
		offRacks(s, on)
	}
}

// offRacks takes a part off all racks, with its probe.
func offRacks(s *story, on journal.Subject) {
	off := func(r *journal.Rack) {
		r.Parts = slices.DeleteFunc(slices.Clone(r.Parts), func(p journal.Subject) bool { return p == on })
	}
	edit(s, "wash", func(d *journal.Degreasing) { off(&d.Rack) })
	edit(s, "blast", func(d *journal.Blasting) { off(&d.Rack) })
	edit(s, "soak", func(d *journal.Soaking) { off(&d.Rack) })
	edit(s, "powder", func(d *journal.Coating) { off(&d.Rack) })
	edit(s, "bake", func(d *journal.BakeStart) {
		off(&d.Rack)
		d.Probes = slices.DeleteFunc(slices.Clone(d.Probes), func(p journal.Probe) bool { return p.On == on })
	})
}

// heated puts one part into the oven by itself, behind a step.
func heated(behind string, on func(*story) journal.Subject) func(*story) {
	return then(behind, func(s *story) step {
		return plain("dried", bench1, s.run("dry"), "mk", journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{on(s)}}, Set: q[unit.Temperature]("180 °C")})
	})
}

func lfCaliper(s *story) journal.Subject { return s.on("LF", "caliper") }

// plugged puts plugs in before a blast, without any powder, and counts them out.
func plugged(s *story) {
	s.after("LF stripped caliper", plain("plugs in", bench1, lfCaliper(s), "mk", journal.Masking{Features: []journal.Item{{What: "piston bore", Count: 1}}, Plugs: 1}))
	s.after("plugs in", plain("blasted bare", bench1, lfCaliper(s), "mk", journal.Blasting{Media: "soda"}))
	s.after("blasted bare", plain("plugs out", bench1, lfCaliper(s), "mk", journal.Unmasking{Plugs: 1, Features: preset(s.tb, floating).Plugged()}))
}

func honestUncoated() []jobCase {
	bare := uncoated("LF", "caliper")
	return []jobCase{
		{"a caliper that goes back without a coat, with new seals", front, bare,
			"rebuilt", "LF caliper", "new: 1 × square-section seal; new: 1 × dust boot"},
		{"a caliper that goes back as it came off", front, does(bare, without("LF stripped caliper", "LF rebuilt caliper")),
			"all-back", "LF", "back on: bracket, caliper"},
		{"a bought caliper that goes on without a coat, with new seals", front, does(bare, without("LF stripped caliper"),
			with("LF removed caliper", func(r *journal.Removal) { r.Supplied = true }), with("LF described caliper", func(m *journal.MakeUp) { m.CameBare = true })),
			"rebuilt", "LF caliper", "new: 1 × square-section seal; new: 1 × dust boot"},
		{"an uncoated caliper, plugged and blasted clean", front, does(bare, plugged),
			"plugs-out", "LF caliper", "1 plug in, 1 counted out"},
		{"an uncoated caliper, stripped and dried in the oven", front, does(bare, heated("LF stripped caliper", lfCaliper)),
			"rubber-out", "LF caliper", "all rubber out before any heat"},
	}
}

func wrongUncoated() []jobCase {
	bare := uncoated("LF", "caliper")
	return []jobCase{
		{"said to go back without a coat, and powdered", front, does(with("LF described caliper", func(m *journal.MakeUp) { m.Uncoated = true }), without("mask LF caliper", "unmask LF caliper")),
			"masked", "LF caliper", "powder went on while nothing was masked"},
		{"an uncoated caliper, into the oven with its seals", front, does(bare, without("LF stripped caliper", "LF rebuilt caliper"), heated("LF bag", lfCaliper)),
			"rubber-out", "LF caliper", "the part went into heat with rubber in it, or before anyone wrote that it was out; nobody has written yet that all the rubber is out"},
		{"an uncoated caliper, stripped and never rebuilt", front, does(bare, without("LF rebuilt caliper")),
			"rebuilt", "LF caliper", "not rebuilt yet"},
		{"a bought caliper without rubber or coat, never rebuilt", front, does(bare, without("LF stripped caliper", "LF rebuilt caliper"),
			with("LF removed caliper", func(r *journal.Removal) { r.Supplied = true }), with("LF described caliper", func(m *journal.MakeUp) { m.CameBare = true })),
			"rebuilt", "LF caliper", "not rebuilt yet"},
		{"an uncoated caliper, blasted clean with a plug left in", front, does(bare, plugged, with("plugs out", func(u *journal.Unmasking) { u.Plugs, u.Features = 0, nil })),
			"plugs-out", "LF caliper", "1 plug in, 0 counted out; the part was back on before the piston bore was counted out; the part was back on before the 2 guide pin bolt holes were counted out; the part was back on before the bleeder thread was counted out; the part was back on before the banjo thread was counted out"},
	}
}

// Of a part that goes back without a coat nothing of a coat is asked, by no card.
func TestUncoatedAsksForNoCoat(t *testing.T) {
	s := complete(t)
	for _, step := range []string{"powder", "bake", "trace", "cured", "soak"} {
		s.drop(step)
	}
	edit(s, "LF described caliper", func(m *journal.MakeUp) { m.Uncoated = true })
	job, shop := fold(s.write().log)
	for _, p := range facts.StockOf(shop).Job(supplied(t, "caliper"), job).Parts {
		for _, k := range []journal.Kind{journal.BakeStarted, journal.CureCompleted, journal.PartCooled, journal.AdhesionTested, journal.SolventRubbed, journal.PartDegreased} {
			if p.Asks(k) == (p.Subject == at("LF", "caliper")) {
				t.Errorf("%s is asked for %s: %t", p.Subject, k, p.Asks(k))
			}
		}
		if !p.Asks(journal.PartRefitted) || !p.Asks(journal.PartTagged) {
			t.Errorf("%s is not asked to go back", p.Subject)
		}
	}
}
