package route_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// Jobs that go through and do not look right: the vehicle may be handed back,
// and every paper names what was not met.
func TestJobsNamedOnPapers(t *testing.T) {
	hourly := recorded(180, 3600, reads("200"))
	playCases(t, []jobCase{
		{"soaked for a minute at 60 °C", front, with("soak", func(p *journal.Soaking) {
			p.Set, p.Metal, p.Held = q[unit.Temperature]("60 °C"), q[unit.Temperature]("60 °C"), q[unit.Duration]("1 min")
		}),
			"soaked", "LF caliper", "soaked for 1 min, oven set to 60 °C, metal at 60 °C; the bake reaches 199 °C (the peak of the probe on the part in the bake), so the part was warmed and its gas was not driven out; the rag was clean; 1 min from soak to powder, by the device’s running clock"},
		{"a rag that was stained", front, with("soak", func(p *journal.Soaking) { p.Rag = journal.RagStained }),
			"soaked", "LF caliper", "soaked for 30 min, oven set to 220 °C, metal at 210 °C, as hot as the bake (199 °C); the rag was stained; 1 min from soak to powder, by the device’s running clock"},
		{"one probe reading an hour", front, hourly,
			"cure", "LF caliper", "coat 1: not proven: probe 1 (thick section) had 0.00 of the schedule where its readings are at most 60 s apart; 3 gaps without readings, together 180.0 min, do not count"},
		{"ten minutes by the oven’s clock", front, recorded(10, 30, casting(15)),
			"cure", "LF caliper", "coat 1: schedule not met: 0.00 of it, 0.00 on the lenient reading, by the coldest probe that gave readings: 1 (thick section)"},
		{"no probe, only the oven’s clock", front, without("trace"),
			"cure", "LF caliper", "coat 1: not proven: no temperatures were logged"},
		{"a probe that fell off into the air", front, recorded(60, 30, until(10, casting(12), reads("205"))),
			"cure", "LF caliper", "coat 1: not proven: probe 1 (thick section) changes from 124.6 °C to 205.0 °C up to minute 10.5, faster than metal can (30 K/min (shop default)); from there on it proves nothing, and until then it had 0.00 of the schedule"},
		{"a probe that fell silent too early", front, recorded(60, 30, until(20, casting(12), reads("-"))),
			"cure", "LF caliper", "coat 1: not proven: probe 1 (thick section) fell silent at minute 20.0, 40.0 min before the log ends; from there on it proves nothing, and until then it had 0.00 of the schedule"},
		{"°F in a file of °C", front, recorded(60, 30, reads("392")),
			"cure", "LF caliper", "coat 1: not proven: channel 1 reads 392.0 °C at minute 0.0, which is almost surely °F: check the recorder’s unit"},
		{"a probe that stands for a heavier part", front, does(alikeProbes, with("bake", func(b *journal.BakeStart) { b.StandIns[0].Is = journal.Heavier })),
			"cure", "RF caliper", "coat 1: not proven: the probe on the LF caliper cannot stand for this part, which is heavier"},
		{"a chlorinated cleaner before the oven", front, with("wash", func(d *journal.Degreasing) { d.Chlorinated = true }),
			"no-chlorine", "LF caliper", "degreased with alkaline bath; the part went into heat after a chlorinated degreaser"},
		{"wet with solvent into the oven", front, again("wash", "mask RF bracket", func(d *journal.Degreasing) { d.Agent, d.Left = "spirit", journal.WetWithSolvent }),
			"no-chlorine", "LF caliper", "degreased with spirit; the part went into heat while it was wet with solvent"},
		{"powder past the date on its box", front, does(first(plain("old lot", office, "lot/so-99", "io", journal.PowderLot{
			Lot: "so-99", Chemistry: journal.PolyesterHAA, Colour: "orange", UseBy: "2026-01-31", Schedule: []journal.BakePoint{{Metal: q[unit.Temperature]("180 °C"), Hold: q[unit.Duration]("15 min")}},
		})), with("powder", func(c *journal.Coating) { c.Lot = "so-99" })),
			"dew-point", "LF caliper", "the metal is 19.7 K above the dew point of 8.3 °C; at least 3.0 K is required: passes; coat 1: lot so-99 was 31 days past its date, 31 January 2026"},
		{"a film that did not adhere", front, then("film LF caliper", func(s *story) step {
			return plain("cross-cut", bench1, s.on("LF", "caliper"), "mk", journal.AdhesionTest{Scale: journal.ISO2409, Class: "3", On: journal.OnPart})
		}),
			"film", "LF caliper", "cross-cut class 3 by ISO 2409 on the part, 15 to 35 % came off: fails; PA 2 style, 5 spots per part, level 3: passes: the mean is 80.0 µm, specified is 60 µm to 100 µm"},
		{"blasted after it was masked", front, moved("blast", "mask LF caliper"),
			"order", "LF caliper", "it was masked before it was blasted"},
		{"never washed before the blast", front, moved("wash", "soak"),
			"order", "LF caliper", "it was soaked before it was degreased"},
		{"five hours from blast to powder", front, func(s *story) { slowly(s, "soak", 5*60*60e9) },
			"delays", "LF caliper", "blasted with glass bead; 305 min from blast to powder, by the device’s running clock; soaked for 30 min, oven set to 220 °C, metal at 210 °C, as hot as the bake (199 °C); the rag was clean; 1 min from soak to powder, by the device’s running clock"},
		{"powder on cold metal", front, with("powder", func(c *journal.Coating) { c.Metal, c.Humidity = q[unit.Temperature]("12 °C"), q[unit.Ratio]("80 %") }),
			"dew-point", "LF caliper", "the metal is 5.4 K below the dew point of 17.4 °C, so it is wet; at least 3.0 K above it is required: fails"},
		{"a thin film", front, with("film LF caliper", func(f *journal.FilmReadings) { f.Spots = spots("40 µm") }),
			"film", "LF caliper", "PA 2 style, 5 spots per part, level 3: fails: spot flat, 40.0 µm, is below 48.0 µm, 80 % of the least; spot edge, 40.0 µm, is below 48.0 µm, 80 % of the least; spot recess, 40.0 µm, is below 48.0 µm, 80 % of the least; spot back, 40.0 µm, is below 48.0 µm, 80 % of the least; spot boss, 40.0 µm, is below 48.0 µm, 80 % of the least; the mean of all spots, 40.0 µm, is below 60.0 µm, the least"},
		{"a thick film", front, with("film LF caliper", func(f *journal.FilmReadings) { f.Spots = spots("130 µm") }),
			"film", "LF caliper", "PA 2 style, 5 spots per part, level 3: fails: spot flat, 130.0 µm, is above 120.0 µm, 120 % of the greatest; spot edge, 130.0 µm, is above 120.0 µm, 120 % of the greatest; spot recess, 130.0 µm, is above 120.0 µm, 120 % of the greatest; spot back, 130.0 µm, is above 120.0 µm, 120 % of the greatest; spot boss, 130.0 µm, is above 120.0 µm, 120 % of the greatest; the mean of all spots, 130.0 µm, is above 100.0 µm, the greatest"},
		{"a film read at two spots", front, with("film LF caliper", func(f *journal.FilmReadings) { f.Spots = f.Spots[:2] }),
			"film", "LF caliper", "PA 2 style, 2 of 5 spots, level 3: the mean so far is 80.0 µm, specified is 60 µm to 100 µm"},
		{"a run that nobody decided about", front, then("film LF caliper", func(s *story) step {
			return plain("sag", bench1, s.on("LF", "caliper"), "mk", journal.Defect{Looks: "run", Face: "edge", Seen: journal.AfterBake})
		}),
			"defects", "LF caliper", "nobody has decided yet about the run on edge"},
		{"aluminium in heat for two hours and a half", front, does(with("LF tagged caliper", func(t *journal.Tagging) { t.Metal = journal.Aluminium }), with("soak", func(p *journal.Soaking) { p.Held = q[unit.Duration]("150 min") })),
			"heat-dose", "LF caliper", "173 min above 150 °C over the life of the casting, at most, since not all of it was measured on the part"},
		{"fluid that was opened in winter", front, with("can", func(c *journal.FluidContainer) { c.Opened = "2026-01-10" }),
			"fluid-fresh", "vehicle", "bf-31 was open for 52 days; DOT 4 from bf-31; DOT 4 suits a vehicle that asks for DOT 4 (the vehicle’s manual, 4-20)"},
		{"fluid past its day", front, with("can", func(c *journal.FluidContainer) { c.UseBy = "2026-02-28" }),
			"fluid-fresh", "vehicle", "DOT 4 from bf-31 was to be used by 28 February 2026, 3 days ago: take a fresh one; DOT 4 from bf-31; DOT 4 suits a vehicle that asks for DOT 4 (the vehicle’s manual, 4-20)"},
		{"DOT 4 where the manual asks for DOT 5.1", front, does(with("manual", func(m *journal.Manual) { m.Fluid = journal.DOT51 }), with("can", func(c *journal.FluidContainer) { c.Grade = journal.DOT4 })),
			"fluid-grade", "vehicle", "DOT 4 from bf-31; DOT 4 boils lower than DOT 5.1, which the vehicle asks for (the vehicle’s manual, 4-20)"},
		{"the near corner bled first", front, does(with("manual", func(m *journal.Manual) { m.Order = []journal.Corner{"LF", "RF", "LR", "RR"} })),
			"bleed-order", "vehicle", "bled in the order RF, LF; the vehicle’s manual, 4-20 asks for LF, RF, LR, RR"},
		{"two stands for two axles", fixedAround, with("raised", func(r *journal.Raising) { r.Stands, r.Lift = 2, false }),
			"stands", "vehicle", "2 stands for two axles: sills"},
		{"raised after a part was off", front, moved("raised", "LF removed caliper"),
			"stands", "vehicle", "2 stands: sills; a part came off before that"},
		{"the customer accepted nothing", front, with("received", func(a *journal.Arrival) { a.Agreed = false }),
			"agreed", "vehicle", "1 finding on arrival; the customer has not accepted the list"},
		{"a bleeder screw at 25 N·m", front, with("LF bleed", func(b *journal.Bleed) { b.Screw = nm(25) }),
			"screw-torque", "LF", "bleeder screw 25 N.m with tw-2"},
		{"a motor's screw forgotten", rearElectric, torqued("LR actuator screw", func(t *journal.Torque) { t.Count = 1 }),
			"actuator-torque", "LR", "actuator screw: 9 N.m is inside 8.0 N·m to 10.0 N·m with the tool’s ±4 % to either side, 8.6 N·m to 9.4 N·m (maker's manual, 4-17); 1 of 2 bolts of the actuator screw tightened"},
		{"a cable that nobody adjusted", rearCable, without("parking set"),
			"parking-brake-set", "vehicle", "not calibrated yet"},
		{"a bag that nobody emptied", front, without("LF bag empty"),
			"bag-empty", "LF", "2 pieces bagged; there is no photograph of the empty bag yet"},
		{"no photograph of the bare seats", front, unseen("LF seats caliper", "LF seats bracket"),
			"seats-photo", "LF caliper", "banjo face bare; bleeder seat bare; pad land bare; no photograph shows that yet"},
	}, func(jobCase) end { return named })
	playCases(t, namedArms(), func(jobCase) end { return named })
}
