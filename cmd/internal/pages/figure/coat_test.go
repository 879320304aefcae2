package figure_test

import (
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

func spot(place string, readings ...string) journal.Spot {
	s := journal.Spot{Place: place}
	for _, r := range readings {
		s.Readings = append(s.Readings, q[unit.Length](r+" µm"))
	}
	return s
}

// The rules of SSPC-PA 2, level 3: each spot, the mean of three, from 80 % of
// the least to 120 % of the greatest, and the mean of the spots inside. The
// means are arithmetic.
func TestFilm(t *testing.T) {
	b := newBench(t)
	part := at("LF", "caliper")
	b.tagged("iron", part)
	read := func(spots ...journal.Spot) *journal.FilmReadings {
		return &journal.FilmReadings{Low: q[unit.Length]("60 µm"), High: q[unit.Length]("100 µm"), Spots: spots}
	}
	f := b.supposed(part, read(spot("flat", "62", "71", "68"), spot("edge", "88", "92", "95"), spot("recess", "58", "55", "61"), spot("back", "101", "96", "99"), spot("boss", "74", "77", "71")))
	says(t, f, "met Film thickness and adhesion: PA 2 style, 5 spots per part, level 3: passes: the mean is 77.9 µm", "the mean of 5 spots is 77.9 µm, single readings from 55.0 µm to 101.0 µm", "60 µm to 100 µm. Source: as written with the readings")
	if f.Table.Rows[2][2] != "58.0 µm" || f.Chart == "" {
		t.Errorf("the table is %q", f.Table.Rows)
	}
	if n := strings.Count(said(f), "passes"); n != 1 {
		t.Errorf("the verdict is given %d times", n)
	}
	thin := read(spot("flat", "50", "44", "47"), spot("edge", "66", "70", "71"), spot("recess", "63", "60", "66"), spot("back", "72", "75", "69"), spot("boss", "64", "58", "67"))
	says(t, b.supposed(part, thin), "broken Film thickness", "spot flat, 47.0 µm, is below 48.0 µm, 80 % of the least")
	says(t, b.supposed(part, read(spot("flat", "62", "71"))), "take 1 more within 4 cm")
}

// 25 °C at 60 % has its dew point at 16.7 °C by the Magnus formula with the
// constants of Alduchov and Eskridge, J. Appl. Meteor. 35 (1996).
func TestDew(t *testing.T) {
	b := newBench(t)
	parts := []journal.Subject{at("LF", "caliper"), at("RF", "caliper")}
	b.tagged("iron", parts...)
	coat := func(metal string) *journal.Coating {
		return &journal.Coating{Rack: journal.Rack{Parts: parts}, Lot: "so-118", Coat: 1, Air: q[unit.Temperature]("25 °C"), Humidity: q[unit.Ratio]("60 %"), Metal: q[unit.Temperature](metal)}
	}
	f := b.supposed("run/coat-1", coat("18 °C"))
	says(t, f, "broken LF caliper, RF caliper, the metal was above the dew point, and the powder within its date: the metal is 1.3 K above the dew point of 16.7 °C", "broken! LF caliper, RF caliper, bores, threads and seats were masked")
	if n := strings.Count(said(f), "16.7 °C"); n != 1 {
		t.Errorf("the dew point is given %d times in\n%s", n, said(f))
	}
	says(t, b.supposed("run/coat-2", &journal.Coating{Rack: journal.Rack{Parts: parts}, Lot: "so-118", Coat: 2, Air: q[unit.Temperature]("25 °C")}), "the dew point cannot be worked out")
}

// Machines stand beside the work that goes through them, and hold for as long
// as it is written, or an oven for a year and until a repair.
func TestEquipment(t *testing.T) {
	b := newBench(t)
	part := at("LF", "caliper")
	b.tagged("iron", part)
	rack := journal.Rack{Parts: []journal.Subject{part}}
	for id, what := range map[journal.ToolID]journal.ToolKind{"oven-1": journal.Oven, "cabinet-1": journal.BlastCabinet, "dryer-1": journal.AirDryer, "tc-1": journal.Thermocouple} {
		b.write(journal.Of("tool", string(id)), &journal.Tool{Tool: id, What: what})
	}
	served := func(d *journal.Service) { b.write(journal.Of("tool", string(d.Tool)), d) }
	bake := &journal.BakeStart{Rack: rack, Oven: "oven-1", Set: q[unit.Temperature]("200 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: part, Tool: "tc-1"}}}
	blast := &journal.Blasting{Rack: rack, Media: "glass bead", Cabinet: "cabinet-1"}
	coat := &journal.Coating{Rack: rack, Lot: "so-118", Coat: 1}

	says(t, b.supposed("run/bake-1", bake), `open oven-1: “oven surveyed” is not on record`, "open probe 1: no check of the tool tc-1 is on record before its use")
	says(t, b.supposed("run/blast-1", blast), `open cabinet-1: “blast media changed” is not on record`)
	says(t, b.supposed("run/coat-1", coat), `open dryer-1: “dryer serviced” is not on record`)

	served(&journal.Service{Tool: "oven-1", Done: journal.OvenSurveyed, On: "2025-06-01", Set: q[unit.Temperature]("200 °C"), Loaded: true, Places: []journal.SurveyedPlace{{Place: "middle", Reads: q[unit.Temperature]("201 °C")}, {Place: "by the door", Reads: q[unit.Temperature]("193 °C")}}})
	served(&journal.Service{Tool: "cabinet-1", Done: journal.MediaChanged, On: "2026-02-01", Media: "glass bead 90-150 µm", Due: "2026-08-01"})
	served(&journal.Service{Tool: "dryer-1", Done: journal.DryerServiced, On: "2025-02-01", Due: "2026-02-01"})
	b.write("tool/tc-1", &journal.ToolCheck{Tool: "tc-1", Result: journal.InTolerance})
	f := b.supposed("run/bake-2", bake)
	says(t, f, "met oven-1: oven surveyed on 1 June 2025, 8 K apart with the oven loaded and set to 200 °C, the coldest place by the door; due again on 1 June 2026")
	silent(t, f, "probe 1:")
	says(t, b.supposed("run/blast-2", blast), "met cabinet-1: blast media changed on 1 February 2026, glass bead 90-150 µm; due again on 1 August 2026")
	says(t, b.supposed("run/coat-2", coat), "broken dryer-1: dryer serviced on 1 February 2025; it was due again on 1 February 2026")

	served(&journal.Service{Tool: "oven-1", Done: journal.OvenRepaired})
	says(t, b.supposed("run/bake-3", bake), "broken oven-1: oven surveyed on 1 June 2025", "the oven has been repaired since, so it has to be surveyed again")
	surveyed := func(on journal.Date) {
		served(&journal.Service{Tool: "oven-1", Done: journal.OvenSurveyed, On: on, Set: q[unit.Temperature]("200 °C"), Places: []journal.SurveyedPlace{{Place: "a", Reads: q[unit.Temperature]("392 °F")}, {Place: "b", Reads: q[unit.Temperature]("198 °C")}}})
	}
	soak := &journal.Soaking{Rack: rack, Oven: "oven-1", Set: q[unit.Temperature]("220 °C"), Held: q[unit.Duration]("30 min")}
	surveyed("2025-07-01") // written after the repair, and done before it
	says(t, b.supposed("run/soak-1", soak), "broken oven-1: oven surveyed on 1 July 2025, 2 K apart with the oven empty", "repaired since")
	surveyed("") // on the day of the repair
	says(t, b.supposed("run/soak-2", soak), "met oven-1: oven surveyed on 2 March 2026")
	surveyed("2024-06-01") // found in a drawer
	says(t, b.supposed("run/soak-3", soak), "met oven-1: oven surveyed on 2 March 2026")
	served(&journal.Service{Tool: "oven-1", Done: journal.OvenRepaired, On: "2025-12-01"}) // nobody says that it was surveyed after that
	says(t, b.supposed("run/soak-4", soak), "broken oven-1:", "repaired since")
}

// What the customer approved stands beside the powder.
func TestColour(t *testing.T) {
	b := newBench(t)
	part, job := at("LF", "caliper"), at("", "")
	b.tagged("iron", part)
	coat := func() *journal.Coating {
		return &journal.Coating{Rack: journal.Rack{Parts: []journal.Subject{part}}, Lot: "so-118", Coat: 1}
	}
	silent(t, b.supposed("run/coat-1", coat()), "the customer accepted")
	says(t, b.supposed(job, &journal.ColourApproval{Sample: "panel 3"}), "open no photograph shows the sample panel 3 that the customer accepted")
	says(t, b.supposed("run/coat-2", coat()), "the customer accepted sample panel 3")
	b.write(job, &journal.ColourApproval{Sample: "panel 4", Code: "orange 9", Gloss: "satin", Texture: "smooth", Lot: "so-118"})
	says(t, b.supposed("run/coat-3", coat()), "met vehicle: the customer accepted sample panel 4, code orange 9, gloss satin, texture smooth, coated from this lot")
	b.write(job, &journal.ColourApproval{Sample: "panel 5", Lot: "so-117"})
	says(t, b.supposed("run/coat-4", coat()), "the customer accepted sample panel 5, coated from lot so-117; this coat is of lot so-118")
}

// At most 1 MΩ from the part to earth (EN 50177, NFPA 33); the rest is the
// shop's to set.
func TestPowder(t *testing.T) {
	b := newBench(t)
	part := at("LF", "caliper")
	b.tagged("iron", part)
	coat := func(change func(*journal.Coating)) *journal.Coating {
		c := &journal.Coating{Rack: journal.Rack{Parts: []journal.Subject{part}}, Lot: "so-118", Coat: 1}
		change(c)
		return c
	}
	earth := func(typed string) *journal.Coating {
		return coat(func(c *journal.Coating) { c.Earth = q[unit.Resistance](typed) })
	}
	says(t, b.supposed("run/coat-1", earth("0.3 MΩ")), "met! part to earth 0.3 MΩ; at most 1 MΩ is allowed: passes", "Source: EN 50177 and NFPA 33")
	says(t, b.supposed("run/coat-2", earth("1000 kΩ")), "met! part to earth 1000 kΩ")
	says(t, b.supposed("run/coat-3", earth("1.1 MΩ")), "broken! part to earth 1.1 MΩ; at most 1 MΩ is allowed: fails")
	says(t, b.supposed("run/coat-4", coat(func(c *journal.Coating) { c.Reclaimed = q[unit.Ratio]("33 %") })), "met 33 % of the powder was reclaimed; at most a third is usual: passes")
	says(t, b.supposed("run/coat-5", coat(func(c *journal.Coating) { c.Reclaimed = q[unit.Ratio]("50 %") })), "broken 50 % of the powder was reclaimed")
	says(t, b.supposed("run/coat-6", coat(func(c *journal.Coating) { c.LastColour = "matt black" })), "broken matt black was sprayed before, and nobody has written that the booth was cleaned after it")
	says(t, b.supposed("run/coat-7", coat(func(c *journal.Coating) { c.LastColour, c.BoothCleaned = "matt black", "2026-03-01" })), "the booth was cleaned on 1 March 2026, after matt black")
}

// Each class with its scale: ISO 2409 counts up from 0, ASTM D3359 down from 5B.
func TestAdhesion(t *testing.T) {
	b := newBench(t)
	part := at("LF", "caliper")
	b.tagged("iron", part)
	says(t, b.supposed(part, &journal.AdhesionTest{Scale: "ISO 2409", Class: "3", On: "coupon"}), "broken Film thickness and adhesion", "cross-cut class 3 by ISO 2409 on the coupon, 15 to 35 % came off: fails")
	says(t, b.supposed(part, &journal.AdhesionTest{Scale: "ASTM D3359 B", Class: "5B", On: "part"}), "cross-cut class 5B by ASTM D3359 B on the part, nothing came off: passes")
}

func TestPlugs(t *testing.T) {
	b := newBench(t)
	part := at("LF", "caliper")
	b.tagged("iron", part)
	says(t, b.supposed(part, &journal.Masking{Features: []journal.Item{{What: "bore", Count: 7}}, Plugs: 7}), "open! Every plug that went in is out again: 7 plugs are in", "open! 7 plugs in, 0 out: 7 still in")
	says(t, b.supposed(part, &journal.Unmasking{Plugs: 6}), "broken! 7 plugs in, 6 out: 1 still in; find it before the part goes on", "broken! Every plug that went in is out again: 7 plugs in, 6 counted out")
	says(t, b.supposed(part, &journal.Unmasking{Plugs: 1}), "met! Every plug that went in is out again: 7 plugs in, 7 counted out")
	says(t, b.supposed(part, &journal.Unmasking{Plugs: 1}), "broken! 7 plugs in, 8 out: 1 more than went in")
}

// A plain slip is seen at once when it is put right.
func TestCorrection(t *testing.T) {
	b := newBench(t)
	part := at("LF", "caliper")
	b.tagged("iron", part)
	b.write(part, &journal.Masking{Features: []journal.Item{{What: "bore", Count: 7}}, Plugs: 7})
	out := b.write(part, &journal.Unmasking{Plugs: 1})
	says(t, b.supposed(part, &journal.Correction{Of: out, Reason: "slipped", Data: []byte(`{"plugs":7}`)}), "met! Every plug that went in is out again: 7 plugs in, 7 counted out")
}

func TestSoak(t *testing.T) {
	b := newBench(t)
	part := at("LF", "caliper")
	b.tagged("aluminium", part)
	soak := journal.Soaking{Rack: journal.Rack{Parts: []journal.Subject{part}}, Set: q[unit.Temperature]("220 °C"), Held: q[unit.Duration]("45 min")}
	f := b.supposed("run/soak-1", &soak)
	says(t, f, "45 min at 220 °C by the oven; the metal was not measured", "45 min above 150 °C over the life of the casting")
	soak.Metal = q[unit.Temperature]("212 °C")
	says(t, b.supposed("run/soak-2", &soak), "the metal was at 212 °C for 45 min, 8.0 K below the oven", "90 min above 150 °C")
	soak.Held = q[unit.Duration]("60 min")
	says(t, b.supposed("run/soak-3", &soak), "broken LF caliper, the casting’s heat over its life: 150 min above 150 °C")
}

// held is a trace of two probes and the air at constant temperatures, a
// reading each minute, in steps of so many minutes at so many degrees.
func held(steps ...[2]int) *journal.ProbeTrace {
	var seconds, readings, air []string
	second := 0
	for _, s := range steps {
		for m := 0; m <= s[0]; m++ {
			seconds, readings, air = append(seconds, fmt.Sprint(second)), append(readings, fmt.Sprint(s[1])), append(air, "205")
			second += 60
		}
		second -= 59 // the next step follows within a second
	}
	join := func(list []string) journal.Series { return journal.Series(strings.Join(list, " ")) }
	return &journal.ProbeTrace{Unit: "°C", Seconds: join(seconds), Channels: []journal.Channel{{Channel: "1", Readings: journal.Readings(join(readings))}, {Channel: "2", Readings: journal.Readings(join(air))}}}
}

// The schedule is 20 min at 180 °C or 10 min at 200 °C. By Arrhenius' law
// through both points, with R of CODATA 2018, 190 °C asks for 14.037 min: 12
// min of it are a fraction of 0.855. 10 min at 186 °C, which asks for 16.142
// min, and 6 min at 200 °C are 0.619 + 0.6.
func TestBake(t *testing.T) {
	b := newBench(t)
	on, bare := at("LF", "caliper"), at("LF", "bracket")
	b.tagged("iron", on, bare)
	rack := journal.Rack{Parts: []journal.Subject{on, bare}}
	b.write("run/coat-1", &journal.Coating{Rack: rack, Lot: "so-118", Coat: 1})
	f := b.supposed("run/bake-1", &journal.BakeStart{Rack: rack, Set: q[unit.Temperature]("200 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: on}, {Channel: "2", Place: "oven air"}}})
	says(t, f, "open LF bracket: no probe on the part and none that stands for it", "lot so-118 asks for 20 min @ 180 °C, 10 min @ 200 °C")
	silent(t, f, "no probe on LF caliper")
	if f.Chart != "" {
		t.Error("a bake without a trace is drawn")
	}
	f = b.supposed("run/bake-1", held([2]int{12, 190}))
	says(t, f,
		"LF caliper: Schedule not met: 0.85 of it, by the coldest probe that gave readings: 1 (ear)",
		"broken LF caliper, the part reached the powder’s schedule: coat 1: schedule not met: 0.85 of it",
		"open LF bracket: no probe on the part and none that stands for it, so whatever the oven shows, the bake will read as not proven",
		"Source: data sheet of lot so-118",
	)
	want := []string{"1", "LF caliper, ear", "190.0 °C", "0.0 min", "0.85", "0.85", "12.0 min from 180 °C, asked 20 min", "none"}
	if got := f.Table.Rows[0]; strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("the table says %q, want %q", got, want)
	}
	if !strings.Contains(string(f.Chart), `role="img"`) || !strings.Contains(string(f.Chart), "stroke-dasharray=\"5 5\"") {
		t.Error("the air is not drawn beside the probe")
	}
	again := b.supposed("run/bake-1", held([2]int{10, 186}, [2]int{6, 200}))
	says(t, again, "Schedule met 1.22 times")
	cured := b.supposed("run/bake-1", &journal.Cure{Held: q[unit.Duration]("16 min"), By: "probe on the part"})
	if cured.Chart != again.Chart {
		t.Error("the end of the bake shows another curve")
	}
}
