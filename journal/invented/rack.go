package invented

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// runs writes the work on all parts of a day together, and on those of a load.
func (w *writing) runs() {
	washes, bakes := make(map[string][]*Coat), make(map[string][]*Coat)
	for _, j := range w.plan.Jobs {
		for _, c := range j.Coats {
			day := c.Day.Format("wash-20060102")
			washes[day] = append(washes[day], c)
			bakes[c.bake()] = append(bakes[c.bake()], c)
		}
	}
	for _, day := range slices.Sorted(maps.Keys(washes)) {
		list := washes[day]
		for k, some := range chunks(list, journal.MaxParts) {
			w.say(list[0].washed(), Booth, first, journal.Of("run", fmt.Sprintf("%s-%d", day, k+1)), &journal.Degreasing{Rack: rackOf(some), Agent: list[0].Degreaser})
		}
	}
	for _, run := range slices.Sorted(maps.Keys(bakes)) {
		w.bake(journal.Of("run", run), bakes[run])
	}
}

func chunks[T any](list []T, most int) [][]T { return slices.Collect(slices.Chunk(list, most)) }

func rackOf(coats []*Coat) (r journal.Rack) {
	for _, c := range coats {
		r.Parts = append(r.Parts, c.Part())
	}
	return r
}

// bake writes a bake, with a probe on each of its parts.
func (w *writing) bake(about journal.Subject, coats []*Coat) {
	at := coats[0].Day.Add(toBake)
	start := &journal.BakeStart{Rack: rackOf(coats), Oven: journal.ToolID(coats[0].Oven), Set: q[unit.Temperature]("200 °C"), Load: q[unit.Mass](fmt.Sprintf("%d kg", 3*len(coats))), Dry: true}
	trace := &journal.ProbeTrace{Unit: journal.UnitCelsius, Seconds: journal.Series(seconds())}
	hottest := 0
	for i, c := range coats {
		channel := strconv.Itoa(i + 1)
		start.Probes = append(start.Probes, journal.Probe{Channel: channel, Place: "thick section", On: c.Part(), Tool: "tc-1"})
		start.Positions = append(start.Positions, journal.HungAt{Part: c.Part(), Place: c.Place})
		trace.Channels = append(trace.Channels, journal.Channel{Channel: channel, Readings: journal.Readings(readings(c.BakeMetal))})
		hottest = max(hottest, c.BakeMetal)
	}
	w.say(at, Booth, first, about, start)
	w.say(at.Add(64*time.Minute), Booth, first, about, trace)
	w.say(at.Add(66*time.Minute), Booth, first, about, &journal.Cure{Metal: q[unit.Temperature](fmt.Sprintf("%d °C", hottest)), Held: q[unit.Duration](fmt.Sprintf("%d min", holding)), By: journal.ProbeOnPart})
	w.say(at.Add(110*time.Minute), Booth, first, about, &journal.Cooling{Rack: rackOf(coats), To: q[unit.Temperature]("31 °C"), How: "on the rack, still air"})
}

// coat writes what is done for one coat of a part alone.
func (w *writing) coat(c *Coat) {
	by, _ := c.Job.bench()
	part := c.Part()
	w.say(c.blasted(), Booth, c.Person, part, &journal.Blasting{Media: c.Media, Pressure: q[unit.Pressure](fmt.Sprintf("%.1f bar", c.Bar)), Took: q[unit.Duration]("4 min"), Cabinet: "cab-1"})
	w.masked(w.say(c.blasted().Add(20*time.Minute), Booth, by, part, Masked(part.Part())), c)
	w.say(c.soaked(), Booth, by, part, &journal.Soaking{Oven: journal.ToolID(c.Oven), Set: q[unit.Temperature]("220 °C"), Metal: q[unit.Temperature](fmt.Sprintf("%d °C", c.SoakMetal)),
		Held: q[unit.Duration](fmt.Sprintf("%d min", c.SoakMinutes)), Rag: journal.RagClean})
	w.say(c.Sprayed, Booth, c.Person, part, &journal.Coating{Lot: c.Lot.ID, Coat: 1, Metal: q[unit.Temperature](celsius(c.Metalled)), Air: q[unit.Temperature](celsius(c.Air)),
		Humidity: q[unit.Ratio](percent(c.Humidity)), Charge: q[unit.Voltage](fmt.Sprintf("%d kV", c.Charge)), Earth: q[unit.Resistance](fmt.Sprintf("%.1f Mohm", c.Earth)),
		Reclaimed: q[unit.Ratio](percent(c.Reclaimed)), Positions: []journal.HungAt{{Part: part, Rack: c.Rack, Hook: c.Hook}}})
	at := c.measured()
	w.say(at, Booth, by, part, Unmasked(part.Part()))
	w.turnedOut(w.say(at.Add(4*time.Minute), Booth, by, part, c.film()), c)
	if c.Look != "" && c.LateDays == 0 {
		w.defect(c, at.Add(8*time.Minute), by)
	}
}

// film are readings about the film of the coat at every spot.
func (c *Coat) film() *journal.FilmReadings {
	f := &journal.FilmReadings{Gauge: "fg-1", Low: q[unit.Length]("60 µm"), High: q[unit.Length]("100 µm")}
	for _, place := range spots() {
		s := journal.Spot{Place: place}
		for _, off := range []float64{-2, 0, 2} {
			s.Readings = append(s.Readings, q[unit.Length](fmt.Sprintf("%.0f µm", c.Film+off)))
		}
		f.Spots = append(f.Spots, s)
	}
	return f
}

// across is about how large one of the coat's defects is; nothing of what is all
// over.
func (c *Coat) across() (none unit.Length) {
	switch journal.Look(c.Look) {
	case journal.Pinhole:
		return q[unit.Length]("0.4 mm")
	case journal.Crater, journal.InclusionLook:
		return q[unit.Length]("2 mm")
	case journal.Blister:
		return q[unit.Length]("3 mm")
	case journal.Run:
		return q[unit.Length]("8 mm")
	}
	return none
}

// defect writes what was found, and what was decided about it.
func (w *writing) defect(c *Coat, at time.Time, by journal.PersonID) {
	found := &journal.Defect{Looks: journal.Look(c.Look), Face: c.Face, Count: 1 + w.dice.IntN(3), Size: c.across(), Seen: c.seen(), Causes: c.thought(),
		Outline: map[string]journal.Outline{"caliper": journal.FloatingOuter, "bracket": journal.BracketFront}[c.What], X: q[unit.Ratio](percent(20 + w.dice.IntN(60))), Y: q[unit.Ratio](percent(20 + w.dice.IntN(60)))}
	if journal.Look(c.Look) == journal.OrangePeelLook { // it is all over
		found.Count = 0
	}
	if c.LateDays == 0 {
		found.Run = journal.RunID(c.bake())
	}
	s := w.say(at, Booth, by, c.Part(), found)
	s.Wrote = func(id journal.EntryID) { c.Entry = id }
	w.near(s, c, found)
	decided, why := journal.TouchIn, "hidden face, far from any seat; the customer agreed"
	if c.Stripped {
		decided, why = journal.StripAndRecoat, "in plain sight"
	}
	w.say(at.Add(3*time.Minute), Booth, by, c.Part(), nil).Data = func() (journal.Payload, error) {
		return &journal.Rework{Of: c.Entry, Decision: decided, Reason: why}, nil
	}
}
