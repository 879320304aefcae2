package route_test

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

func honestCoats() []jobCase {
	return []jobCase{
		{"soaked before it was masked", front, moved("soak", "blast"),
			"order", "LF caliper", "degreased, then blasted, then soaked, then masked, then coated"},
		{"blasted again after oil had sweated out", front, does(moved("soak", "blast"), again("blast", "soak", asIs[journal.Blasting]), again("soak", "blast again", asIs[journal.Soaking])),
			"order", "LF caliper", "degreased, then blasted, then soaked, then masked, then coated"},
		{"blasted again, and soaked once", front, does(moved("soak", "blast"), again("blast", "soak", asIs[journal.Blasting])),
			"order", "LF caliper", "degreased, then soaked, then blasted, then masked, then coated"},
		{"wiped again after the blast", front, again("wash", "blast", func(d *journal.Degreasing) { d.Agent = "wipe" }),
			"order", "LF caliper", "blasted, then degreased, then masked, then soaked, then coated"},
		{"soaked twice, the rag clean the second time", front, does(again("soak", "soak", asIs[journal.Soaking]), with("soak", func(p *journal.Soaking) { p.Rag = journal.RagStained })),
			"soaked", "LF caliper", "soaked for 30 min, oven set to 220 °C, metal at 210 °C, as hot as the bake (199 °C); the rag was clean; 1 min from soak to powder, by the device’s running clock"},
		{"one probe of each kind on a rack of four", front, alikeProbes,
			"cure", "RF caliper", "coat 1: schedule met 1.16 times, by the coldest probe that gave readings: 1 (thick section) on the LF caliper, which stands for this part"},
		{"one probe on a rack of four alike", fourAlike, oneProbe,
			"cure", "RR caliper", "coat 1: schedule met 1.16 times, by the coldest probe that gave readings: 1 (thick section) on the LF caliper, which stands for this part"},
		{"a heavy casting for 45 minutes", front, recorded(45, 30, casting(15)),
			"cure", "LF caliper", "coat 1: schedule met 1.04 times, by the coldest probe that gave readings: 1 (thick section)"},
		{"a reading a minute, some of them lost", front, recorded(60, 60, func(second int) string {
			if second%600 == 0 {
				return "-"
			}
			return casting(12)(second)
		}),
			"cure", "LF caliper", "coat 1: schedule met 2.66 times, by the coldest probe that gave readings: 1 (thick section)"},
		{"probes that fell silent when it was done", front, recorded(60, 30, until(50, casting(12), reads("-"))),
			"cure", "LF caliper", "coat 1: schedule met 2.22 times, by the coldest probe that gave readings: 1 (thick section)"},
		{"a recorder in °F", front, does(recorded(45, 30, func(second int) string {
			var c float64
			fmt.Sscan(casting(10)(second), &c)
			return fmt.Sprintf("%.1f", 32+1.8*c)
		}), with("trace", func(p *journal.ProbeTrace) { p.Unit = journal.UnitFahrenheit })),
			"cure", "LF caliper", "coat 1: schedule met 2.21 times, by the coldest probe that gave readings: 1 (thick section)"},
		{"aluminium calipers", front, does(with("LF tagged caliper", func(t *journal.Tagging) { t.Metal = journal.Aluminium }), with("RF tagged caliper", func(t *journal.Tagging) { t.Metal = journal.Aluminium })),
			"heat-dose", "LF caliper", "53 min above 150 °C over the life of the casting, at most, since not all of it was measured on the part"},
		{"masked in two goes", front, func(s *story) {
			all := preset(s.tb, floating)
			edit(s, "mask LF caliper", func(m *journal.Masking) { m.Features, m.Plugs = all.Plugged(), 5 })
			s.after("mask LF caliper", plain("seats covered", bench1, s.on("LF", "caliper"), "mk", journal.Masking{Features: all.Bare()}))
		},
			"masked", "LF caliper", "9 bores, threads and seats masked"},
		{"plugs out in two goes", front, func(s *story) {
			all := preset(s.tb, floating)
			edit(s, "unmask LF caliper", func(u *journal.Unmasking) { u.Features, u.Plugs = all.Bores, 3 })
			s.after("unmask LF caliper", plain("threads", bench1, s.on("LF", "caliper"), "mk", journal.Unmasking{Features: all.Threads, Plugs: 2}))
		},
			"plugs-out", "LF caliper", "5 plugs in, 5 counted out"},
		{"a seal that was found later and before heat", front, func(s *story) {
			all := preset(s.tb, floating).Rubber
			edit(s, "LF stripped caliper", func(p *journal.Stripping) { p.Out = all[1:] })
			s.after("wash", plain("seal", bench1, s.on("LF", "caliper"), "mk", journal.Stripping{Removed: []string{"seal"}, Rubber: journal.RubberOut, Out: all[:1]}))
		},
			"rubber-out", "LF caliper", "all rubber out before any heat"},
		{"film on a seat, cut away", front, func(s *story) {
			again("LF seats caliper", "LF seats caliper", func(p *journal.SeatProof) { p.State = journal.FilmCutAway })(s)
			edit(s, "LF seats caliper", func(p *journal.SeatProof) { p.State = journal.FilmLeft })
		},
			"seats-bare", "LF caliper", "banjo face film cut away; bleeder seat film cut away; pad land film cut away"},
		{"a pinhole that may stay", front, func(s *story) {
			s.after("film LF caliper", plain("pinhole", bench1, s.on("LF", "caliper"), "mk", journal.Defect{Looks: "pinhole", Face: "back", Seen: journal.AfterBake}))
			s.after("pinhole", linked("decided", bench1, s.on("LF", "caliper"), "io", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.Rework{Of: ids["pinhole"], Decision: journal.AcceptAsIs, Reason: "out of sight"}
			}))
		},
			"defects", "LF caliper", "pinhole on back: accept as is"},
		{"stripped and coated again", front, recoated,
			"cure", "LF caliper", "coat 1: schedule met 1.16 times, by the coldest probe that gave readings: 1 (thick section)"},
		{"two coats under one masking", front, twoCoats,
			"cure", "LF caliper", "coat 1: schedule met 2.83 times, by the coldest probe that gave readings: 1 (thick section); coat 2: schedule met 1.67 times, by the coldest probe that gave readings: 1 (thick section)"},
	}
}

func honestBrakes() []jobCase {
	return []jobCase{
		{"two cups and many top-ups", front, twoCups,
			"reservoir", "vehicle", "90 % of the way from MIN to MAX at the end; how much the reservoir holds from MIN to MAX is not on record, so the levels that were read are the evidence, and no balance is"},
		{"a bleeder screw closed by hand", front, with("RF bleed", func(b *journal.Bleed) { b.Screw, b.Tool, b.ByHand = unit.Torque{}, "", true }),
			"screw-torque", "RF", "bleeder screw closed by hand, as the maker gives no figure"},
		{"the reservoir ran dry, and all was bled again", front, ranDry,
			"reservoir", "vehicle", "90 % of the way from MIN to MAX at the end; how much the reservoir holds from MIN to MAX is not on record, so the levels that were read are the evidence, and no balance is"},
		{"a banjo that wept, opened and sealed again", front, wept,
			"leak", "vehicle", "held for 60 s: dry"},
		{"DOT 5.1 where the cap asks for DOT 4", front, with("can", func(c *journal.FluidContainer) { c.Grade = journal.DOT51 }),
			"fluid", "vehicle", "DOT 5.1 from bf-31; DOT 5.1 suits a vehicle that asks for DOT 4 (the vehicle’s manual, 4-20)"},
		{"fluid that was opened last week", front, with("can", func(c *journal.FluidContainer) { c.Opened = "2026-02-26" }),
			"fluid-fresh", "vehicle", "bf-31 was open for 7 days; DOT 4 from bf-31; DOT 4 suits a vehicle that asks for DOT 4 (the vehicle’s manual, 4-20)"},
		{"the level was known and the volume too", front, with("look 0", func(r *journal.Reservoir) { r.Span = q[unit.Volume]("250 mL") }),
			"reservoir", "vehicle", "90 % of the way from MIN to MAX at the end; 200 mL drawn, 180 mL added, at the end 225 mL above MIN"},
		{"an order of bleeding that nobody has on record", front, with("manual", func(m *journal.Manual) { m.Order = nil }),
			"fluid", "vehicle", "DOT 4 from bf-31; DOT 4 suits a vehicle that asks for DOT 4 (the vehicle’s manual, 4-20)"},
		{"the parking brake tried on the road test", rearElectric, does(moved("parking tried", "road"), with("parking tried", func(p *journal.ParkingTrial) { p.How = journal.TriedOnRoad })),
			"parking-brake-held", "vehicle", "the parking brake was tried on the road test and holds"},
		{"found wrong by the second person, mended, found right", front, foundWrong,
			"second-person", "vehicle", "JR checked the road test by IO: in order"},
		{"a cracked ear that was repaired", front, then("LF described caliper", foundCracked(journal.RepairIt)),
			"sound", "LF caliper", "cracked ear at upper ear: repair"},
		{"a corner on another tablet", front, func(s *story) {
			for i := range s.steps {
				if s.steps[i].about.Corner() == "RF" {
					s.steps[i].on = bench2
				}
			}
		},
			"all-back", "RF", "back on: bracket, caliper"},
		{"a fluid container of the same grade more", front, does(then("can", func(s *story) step {
			return plain("second can", bench1, journal.Of("fluid", string(s.can())+"b"), "mk", journal.FluidContainer{Fluid: s.can() + "b", Grade: journal.DOT4})
		}), func(s *story) { edit(s, "look 2", func(r *journal.Reservoir) { r.Fluid = s.can() + "b" }) }),
			"fluid", "vehicle", "DOT 4 from bf-31; DOT 4 suits a vehicle that asks for DOT 4 (the vehicle’s manual, 4-20); DOT 4 from bf-31b"},
	}
}
