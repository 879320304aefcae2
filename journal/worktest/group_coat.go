package worktest

import (
	"bytes"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/trade/unit"
)

// run plans an entry of a run, by whoever stands at the booth.
func (g *group) run(at time.Time, what string, p journal.Payload) {
	g.add(&step{at: at, on: "bench-1", by: mk, about: journal.Of("run", fmt.Sprintf("%s-%d", what, g.number)), data: says(p),
		wrote: func(_ *journal.Entry, raw []byte) { g.runs = append(g.runs, raw) }})
}

// coat plans the afternoon: washed, blasted, masked, soaked, powdered.
func (g *group) coat(morning time.Time) {
	at := func(hours, minutes int) time.Time {
		return morning.Add(time.Duration(hours)*time.Hour + time.Duration(minutes)*time.Minute + g.minutes(0, 9))
	}
	rack := journal.Rack{Parts: g.parts}
	g.run(at(4, 30), "wash", &journal.Degreasing{Rack: rack, Agent: "alkaline bath, rinsed and dried"})
	g.run(at(5, 0), "blast", &journal.Blasting{Rack: rack, Media: "fine glass bead", Pressure: q[unit.Pressure]("4.1 bar"), Took: q[unit.Duration]("25 min"), Evidence: g.shots(1, "bare metal")})
	for _, j := range g.jobs {
		when := at(5, 40)
		for _, corner := range j.car.corners {
			for _, part := range []journal.PartID{"caliper", "bracket"} {
				masked := invented.Masked(part)
				masked.Evidence = g.shots(1, "masked bores and seats")
				g.line(j, when, journal.About(j.id, corner, part), j.who, &masked)
				when = when.Add(g.minutes(3, 8))
			}
		}
	}
	g.run(at(6, 40), "soak", &journal.Soaking{Rack: rack, Oven: "ov-1", Set: q[unit.Temperature]("230 °C"), Metal: q[unit.Temperature]("214 °C"),
		Held: q[unit.Duration]("35 min"), Rag: journal.RagClean, Evidence: g.shots(1, "outgas soak, plugs in")})
	g.run(at(8, 0), "coat", &journal.Coating{Rack: rack, Lot: g.shop.lot, Coat: 1, Metal: q[unit.Temperature]("28 °C"), Air: q[unit.Temperature]("21 °C"),
		Humidity: q[unit.Ratio](fmt.Sprintf("%d %%", 35+g.dice.IntN(25))), Charge: q[unit.Voltage]("60 kV"), Earth: q[unit.Resistance]("0.4 Mohm"), Evidence: g.shots(1, "powder on")})
}

// bake plans the next morning: baked, cooled, unmasked, measured.
func (g *group) bake(morning time.Time) {
	at := func(minutes int) time.Time { return morning.Add(time.Duration(minutes)*time.Minute + g.minutes(0, 5)) }
	first := g.parts[0]
	g.run(at(15), "bake", &journal.BakeStart{Rack: journal.Rack{Parts: g.parts}, Oven: "ov-1", Set: q[unit.Temperature]("200 °C"),
		Load: q[unit.Mass](fmt.Sprintf("%d kg", 3*len(g.parts))), Evidence: g.shots(2, "in the oven"),
		Probes: []journal.Probe{{Channel: "1", Place: "thick section by the pin bore", On: first, Tool: "tc-1"}, {Channel: "2", Place: "oven air", Tool: "tc-2"}}})
	g.run(at(80), "bake", g.trace())
	g.run(at(90), "bake", &journal.Cure{Metal: q[unit.Temperature]("196 °C"), Held: q[unit.Duration]("45 min"), By: journal.ProbeOnPart})
	g.run(at(150), "bake", &journal.Cooling{Rack: journal.Rack{Parts: g.parts}, To: q[unit.Temperature]("31 °C"), How: "on the rack, still air", Evidence: g.shots(1, "out of the oven")})
	for _, j := range g.jobs {
		when := at(165)
		for _, corner := range j.car.corners {
			for _, part := range []journal.PartID{"caliper", "bracket"} {
				about := journal.About(j.id, corner, part)
				g.line(j, when, about, j.who, &journal.Unmasking{Plugs: invented.Masked(part).Plugs, Evidence: g.shots(1, "all plugs out")})
				g.line(j, when.Add(5*time.Minute), about, j.who, g.film())
				if g.dice.IntN(25) == 0 {
					g.defect(j, when.Add(9*time.Minute), about)
				}
				when = when.Add(g.minutes(6, 14))
			}
		}
	}
}

// defect plans a defect and what is done about it.
func (g *group) defect(j *job, at time.Time, about journal.Subject) {
	of := new(journal.EntryID)
	g.step(j, at, about, j.who, says(&journal.Defect{Looks: pick(g.work, journal.Pinhole, journal.InclusionLook, journal.ThinSpot, journal.OrangePeelLook),
		Face: pick(g.work, "back, by the upper boss", "outer face by the bridge", "inner face"), Count: 1 + g.dice.IntN(3), Size: q[unit.Length]("0.3 mm"),
		Seen: journal.AfterBake, Run: journal.RunID(fmt.Sprintf("bake-%d", g.number)), Evidence: g.shots(1, "the defect, scale beside")}), of)
	g.step(j, at.Add(2*time.Minute), about, j.who, func() (journal.Payload, error) {
		return &journal.Rework{Of: *of, Decision: journal.TouchIn, Reason: "hidden face, far from any seat; the customer agreed"}, nil
	}, nil)
}

// trace is two channels of a recorder, a reading every thirty seconds: the
// part follows the air with a lag (first order, time constant ten minutes).
func (g *group) trace() *journal.ProbeTrace {
	var seconds, part, air bytes.Buffer
	metal := 20 + 3*g.dice.Float64()
	for i := range 99 {
		if i > 0 {
			for _, b := range []*bytes.Buffer{&seconds, &part, &air} {
				b.WriteByte(' ')
			}
		}
		hot := 199 + 3*g.dice.Float64() - 60/float64(i+2)
		fmt.Fprint(&seconds, 30*i)
		fmt.Fprintf(&part, "%.1f", metal)
		fmt.Fprintf(&air, "%.1f", hot)
		metal += (hot - metal) * 30 / 600
	}
	return &journal.ProbeTrace{Unit: journal.UnitCelsius, Seconds: journal.Series(seconds.String()), Channels: []journal.Channel{
		{Channel: "1", Readings: journal.Readings(part.String())}, {Channel: "2", Readings: journal.Readings(air.String())}}}
}

func (g *group) film() *journal.FilmReadings {
	f := &journal.FilmReadings{Gauge: "fg-1", Base: q[unit.Length]("8 µm"), Low: q[unit.Length]("60 µm"), High: q[unit.Length]("100 µm"), Evidence: g.shots(1, "gauge on the part")}
	for _, place := range []string{"flat", "edge", "recess", "back", "boss"} {
		s := journal.Spot{Place: place}
		for range 3 {
			s.Readings = append(s.Readings, q[unit.Length](fmt.Sprintf("%d µm", 70+g.dice.IntN(24))))
		}
		f.Spots = append(f.Spots, s)
	}
	return f
}
