package worktest

import (
	"bytes"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/trade/unit"
)

// run plans an entry of a run, by whoever stands at the booth that day.
func (g *group) run(at time.Time, what string, p journal.Payload) {
	g.add(&step{at: at, on: "bench-1", by: g.booth, about: journal.Of("run", fmt.Sprintf("%s-%d", what, g.number)), data: says(p),
		wrote: func(_ *journal.Entry, raw []byte) { g.runs = append(g.runs, raw) }})
}

// coat plans the afternoon: washed, blasted, masked, soaked, powdered.
func (g *group) coat(morning time.Time) {
	at := func(hours, minutes int) time.Time {
		return morning.Add(time.Duration(hours)*time.Hour + time.Duration(minutes)*time.Minute + g.minutes(0, 9))
	}
	rack := journal.Rack{Parts: g.parts}
	g.booth = pick(g.work, mk, mk, jr)
	g.prepare()
	g.run(at(4, 30), "wash", &journal.Degreasing{Rack: rack, Agent: pick(g.work, "alkaline bath, rinsed and dried", "neutral cleaner")})
	g.run(at(5, 0), "blast", &journal.Blasting{Rack: rack, Media: pick(g.work, "fine glass bead", "fine glass bead", "aluminium oxide 120 grit"),
		Pressure: q[unit.Pressure](fmt.Sprintf("%.1f bar", 2.5+0.1*float64(g.dice.IntN(25)))), Took: q[unit.Duration]("25 min"), Cabinet: "cab-1", Evidence: g.shots(1, "bare metal")})
	for _, j := range g.jobs {
		when := at(5, 40)
		for _, corner := range j.car.corners {
			for _, part := range []journal.PartID{"caliper", "bracket"} {
				masked := invented.Masked(part)
				masked.Evidence = g.shots(1, "masked bores and seats")
				g.line(j, when, journal.About(j.id, corner, part), j.who, masked)
				when = when.Add(g.minutes(3, 8))
			}
		}
	}
	g.run(at(6, 40), "soak", &journal.Soaking{Rack: rack, Oven: g.oven, Set: q[unit.Temperature]("230 °C"), Metal: q[unit.Temperature](fmt.Sprintf("%d °C", g.soaked)),
		Held: q[unit.Duration](pick(g.work, "30 min", "35 min", "45 min", "60 min")), Rag: journal.RagClean, Evidence: g.shots(1, "outgas soak, plugs in")})
	coating := &journal.Coating{Rack: rack, Lot: g.lot.id, Coat: 1, Metal: q[unit.Temperature](fmt.Sprintf("%d °C", 24+g.dice.IntN(6))), Air: q[unit.Temperature](fmt.Sprintf("%d °C", g.shop.air)),
		Humidity: q[unit.Ratio](fmt.Sprintf("%d %%", 35+g.dice.IntN(25))), Charge: q[unit.Voltage](fmt.Sprintf("%d kV", 50+g.dice.IntN(30))), Earth: q[unit.Resistance](fmt.Sprintf("0.%d Mohm", 1+g.dice.IntN(8))),
		Reclaimed: q[unit.Ratio](fmt.Sprintf("%d %%", 5*g.dice.IntN(6))), Evidence: g.shots(1, "powder on")}
	for i, part := range g.parts {
		coating.Positions = append(coating.Positions, journal.HungAt{Part: part, Rack: fmt.Sprint(1 + i/6), Hook: fmt.Sprint(1 + i%6)})
	}
	g.run(at(8, 0), "coat", coating)
}

// metal is what a bake makes of thick sections, in °C.
const metal = 198

// prepare draws how the parts will be soaked, and in which oven. A soak cooler
// than the bake leaves gas in the metal.
func (g *group) prepare() {
	g.oven = pick[journal.ToolID](g.work, "ov-1", "ov-1", "ov-2")
	if g.soaked = metal + 3 + g.dice.IntN(25); g.dice.IntN(8) == 0 {
		g.soaked = metal - 5 - g.dice.IntN(25)
	}
}

// bake plans the next morning: baked, cooled, unmasked, measured.
func (g *group) bake(morning time.Time) {
	at := func(minutes int) time.Time { return morning.Add(time.Duration(minutes)*time.Minute + g.minutes(0, 5)) }
	start := &journal.BakeStart{Rack: journal.Rack{Parts: g.parts}, Oven: g.oven, Set: q[unit.Temperature]("200 °C"),
		Load: q[unit.Mass](fmt.Sprintf("%d kg", 3*len(g.parts))), Evidence: g.shots(2, "in the oven"),
		Probes: []journal.Probe{{Channel: "1", Place: "oven air", Tool: "tc-2"}}}
	for i, place := range g.dice.Perm(len(g.parts)) {
		start.Positions = append(start.Positions, journal.HungAt{Part: g.parts[i], Place: places()[place%len(places())]})
		if job := g.parts[i].Job(); i == 0 || job != g.parts[i-1].Job() { // one part of each vehicle
			start.Probes = append(start.Probes, journal.Probe{Channel: fmt.Sprint(1 + len(start.Probes)), Place: "thick section by the pin bore", On: g.parts[i], Tool: "tc-1"})
		}
	}
	g.run(at(15), "bake", start)
	g.run(at(80), "bake", g.trace(len(start.Probes)-1))
	g.run(at(90), "bake", &journal.Cure{Metal: q[unit.Temperature]("196 °C"), Held: q[unit.Duration]("45 min"), By: journal.ProbeOnPart})
	g.run(at(150), "bake", &journal.Cooling{Rack: journal.Rack{Parts: g.parts}, To: q[unit.Temperature]("31 °C"), How: "on the rack, still air", Evidence: g.shots(1, "out of the oven")})
	for _, j := range g.jobs {
		when := at(165)
		for _, corner := range j.car.corners {
			for _, part := range []journal.PartID{"caliper", "bracket"} {
				about := journal.About(j.id, corner, part)
				out := invented.Unmasked(part)
				out.Evidence = g.shots(1, "all plugs out")
				g.line(j, when, about, j.who, out)
				g.line(j, when.Add(5*time.Minute), about, j.who, g.film())
				switch looks := g.comesOut(); {
				case looks == "":
				case g.dice.IntN(8) == 0:
					j.late = append(j.late, late{about, looks})
				default:
					g.defect(j, when.Add(9*time.Minute), about, looks)
				}
				when = when.Add(g.minutes(6, 14))
			}
		}
	}
}

// places are those in the oven.
func places() []string {
	return []string{"by the door, low", "by the door, high", "middle, low", "middle, high", "back, low", "back, high"}
}

// comesOut draws what is wrong with a coat; nothing of most.
func (g *group) comesOut() journal.Look {
	pinholes := 15
	if g.soaked < metal {
		pinholes = 200
	}
	switch u := g.dice.IntN(1000); {
	case u < pinholes:
		return journal.Pinhole
	case u < pinholes+30:
		return pick(g.work, journal.InclusionLook, journal.ThinSpot, journal.OrangePeelLook)
	}
	return ""
}

// found is what is written of a defect.
func (g *group) found(looks journal.Look, seen journal.DefectStage) *journal.Defect {
	d := &journal.Defect{Looks: looks, Face: pick(g.work, "back, by the upper boss", "outer face by the bridge", "inner face"), Count: 1 + g.dice.IntN(3),
		Size: q[unit.Length]("0.3 mm"), Seen: seen, Evidence: g.shots(1, "the defect, scale beside")}
	if looks == journal.Pinhole {
		d.Causes = []journal.Suspicion{{Cause: journal.GasFromCasting, Sure: journal.CauseSuspected}}
	}
	return d
}

// defect plans a defect and what is done about it.
func (g *group) defect(j *job, at time.Time, about journal.Subject, looks journal.Look) {
	of := new(journal.EntryID)
	found := g.found(looks, journal.AfterBake)
	found.Run = journal.RunID(fmt.Sprintf("bake-%d", g.number))
	g.step(j, at, about, j.who, says(found), of)
	g.step(j, at.Add(2*time.Minute), about, j.who, func() (journal.Payload, error) {
		return &journal.Rework{Of: *of, Decision: journal.TouchIn, Reason: "hidden face, far from any seat; the customer agreed"}, nil
	}, nil)
}

// trace is the channels of a recorder, a reading every thirty seconds: the oven's
// air, and parts that follow it with a lag (first order, time constant about ten
// minutes).
func (g *group) trace(parts int) *journal.ProbeTrace {
	const readings, seconds = 99, 30
	var times, air bytes.Buffer
	var hot []float64
	for i := range readings {
		hot = append(hot, 199+3*g.dice.Float64()-60/float64(i+2))
		fmt.Fprintf(&times, " %d", seconds*i)
		fmt.Fprintf(&air, " %.1f", hot[i])
	}
	channel := func(n int, b *bytes.Buffer) journal.Channel {
		return journal.Channel{Channel: fmt.Sprint(n), Readings: journal.Readings(b.String()[1:])}
	}
	t := &journal.ProbeTrace{Unit: journal.UnitCelsius, Seconds: journal.Series(times.String()[1:]), Channels: []journal.Channel{channel(1, &air)}}
	for n := range parts {
		var part bytes.Buffer
		is, lag := 20+3*g.dice.Float64(), 450+300*g.dice.Float64()
		for _, air := range hot {
			fmt.Fprintf(&part, " %.1f", is)
			is += (air - is) * seconds / lag
		}
		t.Channels = append(t.Channels, channel(n+2, &part))
	}
	return t
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
