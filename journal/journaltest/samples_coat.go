package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

func coatSamples() []sample {
	rack := journal.Rack{Parts: calipers()}
	return []sample{
		{onRun(),
			&journal.Blasting{Rack: rack, Media: "glass bead 90-150 µm", Pressure: q[unit.Pressure]("60 psi"), Took: q[unit.Duration]("12 min"), Cabinet: "cabinet-1", Evidence: seen("the blasted castings", "even grey all over")},
			&journal.Blasting{Media: "glass bead 90-150 µm"}},
		{onPart(),
			&journal.Masking{Features: []journal.Item{{What: "piston bore", Count: 1}, {What: "bleeder seat", Count: 1}, {What: "pin bores", Count: 2}}, Plugs: 4, Evidence: seen("masked bores", "silicone plugs")},
			&journal.Masking{Features: []journal.Item{{What: "piston bore", Count: 1}}, Plugs: 0}},
		{onRun(),
			&journal.Soaking{
				Rack: rack, Oven: "oven-1", Set: q[unit.Temperature]("220 °C"), Metal: q[unit.Temperature]("215 °C"),
				Held: q[unit.Duration]("45 min"), Rag: "clean", Dry: true, Evidence: seen("the white rag", "second soak"),
			},
			&journal.Soaking{Set: q[unit.Temperature]("220 °C"), Held: q[unit.Duration]("45 min")}},
		{onRun(),
			&journal.Coating{
				Rack: rack, Lot: Lot, Coat: 1, Metal: q[unit.Temperature]("60 °C"), Air: q[unit.Temperature]("21 °C"), Humidity: q[unit.Ratio]("48 %"),
				Charge: q[unit.Voltage]("60 kV"), Earth: q[unit.Resistance]("0.3 Mohm"),
				Reclaimed: q[unit.Ratio]("20 %"), BoothCleaned: "2026-03-01", LastColour: "black",
				Positions: []journal.HungAt{{Part: onPart(), Rack: "2", Hook: "5", Place: "left in the booth"}}, Evidence: seen("the powdered rack", "thin on the inner bridge"),
			},
			&journal.Coating{Lot: Lot, Coat: 1}},
		{onRun(),
			&journal.BakeStart{
				Rack: rack, Oven: "oven-1", Set: q[unit.Temperature]("200 °C"), Load: q[unit.Mass]("18 kg"),
				Probes: []journal.Probe{
					{Channel: "1", Place: "thick section by the pin bore", On: onPart(), Tool: "tc-3"},
					{Channel: "2", Place: "oven air", On: journal.About(JobOne, "RF", "caliper"), Tool: "tc-4"},
				},
				StandIns:  []journal.StandIn{{Part: journal.About(JobOne, "RR", "caliper"), Probe: "1", Is: "lighter"}},
				Dry:       true,
				Positions: []journal.HungAt{{Part: onPart(), Rack: "2", Hook: "5", Place: "by the door, low"}},
				Evidence:  seen("the rack in the oven", "heaviest casting at the door"),
			},
			&journal.BakeStart{Rack: journal.Rack{Parts: calipers()[:1]}, Set: q[unit.Temperature]("200 °C")}},
		{onRun(),
			&journal.ProbeTrace{
				Begun: stamp("2026-03-02T10:04:00.000+01:00"), Unit: "°C", Seconds: "0 60 120 180 240 300",
				Channels: []journal.Channel{
					{Channel: "1", Readings: "21.5 64.0 118.5 161.0 187.5 199.0"},
					{Channel: "2", Readings: "184.0 176.5 - 197.5 200.5 201.0"},
				},
				File: digest("the recorder's file"), Evidence: seen("the recorder", "one reading a minute"),
			},
			&journal.ProbeTrace{Unit: "°C", Seconds: "0 60", Channels: []journal.Channel{{Channel: "1", Readings: "21.5 64.0"}}}},
		{onRun(),
			&journal.Cure{Metal: q[unit.Temperature]("199 °C"), Held: q[unit.Duration]("11 min"), By: "probe on the part", Evidence: seen("the recorder's last reading", "door opened once")},
			&journal.Cure{Held: q[unit.Duration]("20 min"), By: "oven clock"}},
		{onRun(),
			&journal.Cooling{Rack: rack, To: q[unit.Temperature]("35 °C"), How: "in still air on the rack", Evidence: seen("the cooling rack", "not quenched")},
			&journal.Cooling{}},
		{onPart(),
			&journal.Unmasking{Plugs: 4, Features: []journal.Item{{What: "piston bore", Count: 1}, {What: "guide pin bore", Count: 2}}, Evidence: seen("the plugs on the bench", "all four counted aloud")},
			&journal.Unmasking{Plugs: 0}},
		{onPart(),
			&journal.FilmReadings{
				Gauge: "fg-1", Base: q[unit.Length]("4 µm"), Low: q[unit.Length]("60 µm"), High: q[unit.Length]("90 µm"),
				Spots: []journal.Spot{
					{Place: "bridge", Readings: []unit.Length{q[unit.Length]("78 µm"), q[unit.Length]("81 µm"), q[unit.Length]("80 µm")}},
					{Place: "inner face", Readings: []unit.Length{q[unit.Length]("2.5 mil"), q[unit.Length]("2.6 mil")}},
				},
				Evidence: seen("the gauge on the bridge", "zeroed on the bare tab"),
			},
			&journal.FilmReadings{Spots: []journal.Spot{{Place: "bridge", Readings: []unit.Length{q[unit.Length]("78 µm")}}}}},
		{onRun(),
			&journal.AdhesionTest{Rack: rack, Scale: "ISO 2409", Class: "0", On: "coupon", Evidence: seen("the cross-cut", "edges smooth")},
			&journal.AdhesionTest{Scale: "ASTM D3359 B", Class: "5B", On: "coupon"}},
		{onRun(),
			&journal.SolventRub{Rack: rack, Solvent: "MEK", DoubleRubs: 50, Result: "slight dulling, no colour on the swab", On: "coupon", Evidence: seen("the swab", "let dry an hour")},
			&journal.SolventRub{Solvent: "MEK", DoubleRubs: 50, Result: "slight dulling", On: "coupon"}},
		{onPart(),
			&journal.Defect{
				Looks: "pinhole", Named: "outgassing pinhole", Face: "outer face by the bridge", Count: 3, Size: q[unit.Length]("0.5 mm"), Seen: "after bake",
				Outline: "floating caliper, outer side", X: q[unit.Ratio]("43 %"), Y: q[unit.Ratio]("27.5 %"),
				Marks:  []journal.Mark{{Photo: Picture("the pinholes").Ref, X: q[unit.Ratio]("51 %"), Y: q[unit.Ratio]("38 %"), Radius: q[unit.Ratio]("6 %")}},
				Causes: []journal.Suspicion{{Cause: "gas from the casting", Sure: "suspected", How: "all on the thick side"}, {Cause: "too little heat", Sure: "shown by a test", How: "solvent rub on the coupon"}},
				Run:    Bake, Evidence: seen("the pinholes", "all in one square inch"),
			},
			&journal.Defect{Looks: "pinhole", Face: "outer face by the bridge", Seen: "after bake"}},
		{onPart(),
			&journal.Rework{Of: entryID(cited), Decision: "strip and recoat", Reason: "pinholes reach the metal", Evidence: seen("the casting set aside", "longer soak next time")},
			&journal.Rework{Of: entryID(cited), Decision: "strip and recoat", Reason: "pinholes reach the metal"}},
	}
}
