package route_test

import (
	"fmt"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// parts are those of a plan as things of its job.
func (p plan) parts(s *story) (list []journal.Subject) {
	for _, f := range p.fits {
		list = append(list, s.on(f.corner, f.part))
	}
	return list
}

// coat takes the parts through the shop on one rack, with a probe on each.
func (p plan) coat(s *story) {
	s.prepare(journal.Rack{Parts: p.parts(s)})
	for _, f := range p.fits {
		s.add(s.mask(f))
	}
	s.powder(journal.Rack{Parts: p.parts(s)})
	for _, f := range p.fits {
		s.add(s.unmask(f), s.film(f))
	}
}

func (s *story) prepare(rack journal.Rack) {
	s.add(
		plain("wash", bench1, s.run("wash"), "mk", journal.Degreasing{Rack: rack, Agent: "alkaline bath"}),
		plain("blast", bench1, s.run("blast"), "mk", journal.Blasting{Rack: rack, Media: "glass bead", Evidence: seen("bare metal")}),
	)
}

// powder soaks, coats and bakes a rack.
func (s *story) powder(rack journal.Rack) {
	start := journal.BakeStart{Rack: rack, Set: q[unit.Temperature]("210 °C"), Evidence: seen("probe on the part")}
	trace := warming(35, 205)
	readings := trace.Channels[0].Readings
	trace.Channels = nil
	for i, part := range rack.Parts {
		channel := fmt.Sprint(i + 1)
		start.Probes = append(start.Probes, journal.Probe{Channel: channel, Place: "thick section", On: part})
		trace.Channels = append(trace.Channels, journal.Channel{Channel: channel, Readings: readings})
	}
	s.add(
		plain("soak", bench1, s.run("soak"), "mk", journal.Soaking{Rack: rack, Set: q[unit.Temperature]("220 °C"), Metal: q[unit.Temperature]("210 °C"), Held: q[unit.Duration]("30 min"), Rag: journal.RagClean}),
		plain("powder", bench1, s.run("coat"), "mk", journal.Coating{Rack: rack, Lot: "so-118", Coat: 1, Metal: q[unit.Temperature]("28 °C"), Air: q[unit.Temperature]("21 °C"), Humidity: q[unit.Ratio]("44 %"), Evidence: seen("powder on")}),
		plain("bake", bench1, s.run("bake"), "mk", start),
		plain("trace", bench1, s.run("bake"), "mk", trace),
		plain("cured", bench1, s.run("bake"), "mk", journal.Cure{Held: q[unit.Duration]("20 min"), By: journal.ProbeOnPart}),
	)
}

func (f fit) name() string { return fmt.Sprintf("%s %s", f.corner, f.part) }

// plugs is how many plugs a part takes.
func (f fit) plugs(tb testing.TB) (n int) {
	for _, item := range preset(tb, f.preset).Plugged() {
		n += item.Count
	}
	return n
}

func (s *story) mask(f fit) step {
	return plain("mask "+f.name(), bench1, s.on(f.corner, f.part), "mk", journal.Masking{Features: preset(s.tb, f.preset).Covered(), Plugs: f.plugs(s.tb), Evidence: seen("masked bores and seats")})
}

func (s *story) unmask(f fit) step {
	return plain("unmask "+f.name(), bench1, s.on(f.corner, f.part), "mk", journal.Unmasking{Plugs: f.plugs(s.tb), Features: preset(s.tb, f.preset).Plugged(), Evidence: seen("all plugs out")})
}

func (s *story) film(f fit) step {
	return plain("film "+f.name(), bench1, s.on(f.corner, f.part), "mk", journal.FilmReadings{Low: q[unit.Length]("60 µm"), High: q[unit.Length]("100 µm"), Spots: spots("80 µm"), Evidence: seen("gauge on the part")})
}
