package facts

import (
	"fmt"
	"math"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

// soak follows the heat before the powder. Gas that a soak did not drive out
// comes out in the bake if that is hotter, so a soak counts only with the metal
// measured, and as hot as the bake makes it.
func (p *partWork) soak(g *Group, units unit.System) (f card.SoakFacts) {
	e, d := p.before(isSoaking)
	if e == nil {
		g.await(Soak, NotSoaked)
		return f
	}
	last, s := e, d.(*journal.Soaking)
	reach, source := p.reach()
	if hot, d := p.before(func(d journal.Payload) bool { s, ok := d.(*journal.Soaking); return ok && hotAs(s, reach) }); hot != nil && s.Rag != journal.RagStained {
		e, s = hot, d.(*journal.Soaking) // to warm the part once more takes nothing from it
	}
	f.Done, f.Clean = true, s.Rag == journal.RagClean
	for _, o := range p.coat() {
		if soak, ok := o.Data.(*journal.Soaking); ok && hotAs(soak, reach) && !e.before(&o) {
			f.Minutes += soak.Held.In(unit.Minute)
		}
	}
	f.Hot = hotAs(s, reach)
	g.state(soakStatement(s, f.Hot, reach, source, units), e.Line)
	if s.Rag != "" {
		g.state(Statement{Quantity: Rag, Value: string(s.Rag)}, e.Line)
	}
	f.MinutesToPowder = p.toPowder(g, last, SoakToPowder)
	return f
}

// soakStatement says how hot the metal was beside the bake.
func soakStatement(s *journal.Soaking, hot bool, reach float64, source string, units unit.System) Statement {
	value, of := split(s.Held)
	in, w := units.Temperature, units.Writing
	stated := Statement{Quantity: Soak, Value: value, Unit: of, With: []Figure{beside("set", s.Set, in, w)}, Met: met(hot)}
	if !math.IsInf(reach, -1) {
		stated.Limit, stated.Source = Limit{Low: unit.Show(reach, unit.Celsius, in, 0)}, source
	}
	switch {
	case s.Metal.IsZero():
		stated.Because, stated.Met, stated.Sure = MetalNotRead, NotKnown, NotProven
	case !hot:
		stated.With, stated.Because = append(stated.With, beside("metal", s.Metal, in, w)), CoolerThanBake
	default:
		stated.With, stated.Sure = append(stated.With, beside("metal", s.Metal, in, w)), Measured
	}
	return stated
}

func hotAs(s *journal.Soaking, reach float64) bool {
	return !s.Metal.IsZero() && s.Metal.In(unit.Celsius) >= reach
}

// reach returns how hot the bakes of this coat make the metal, in °C, and who
// says so: the probe on the part, or the oven where there is none. Before any
// bake it is −Inf.
func (p *partWork) reach() (celsius float64, source string) {
	celsius = math.Inf(-1)
	for _, b := range bakesIn(p.coat()) {
		at, of := b.start.Data.(*journal.BakeStart).Set.In(unit.Celsius), "what the oven of the bake was set to"
		hottest, read := math.Inf(-1), false
		for _, l := range b.logs {
			if peak, ok := l.peak(p.part.Subject, b.probes); ok {
				hottest, read = math.Max(hottest, peak), true
			}
		}
		if read {
			at, of = hottest, "the peak of the probe on the part in the bake"
		}
		if at > celsius {
			celsius, source = at, of
		}
	}
	return celsius, source
}

// peak returns the highest reading on a part in °C.
func (r recording) peak(on journal.Subject, probes []bake.Probe) (celsius float64, ok bool) {
	for _, p := range logged(probes, r.trace) {
		for _, c := range r.trace.Channels {
			if p.On != string(on) || c.Channel != p.Channel {
				continue
			}
			text, any := c.Readings.Peak()
			if at, number := unit.Decimal(text); any && number {
				celsius, ok = math.Max(zeroIfNaN(celsius), bake.Scale(r.trace.Unit).Celsius(at)), true
			}
		}
	}
	return celsius, ok
}

// soakedWords says what a soak was worth.
func (s Statement) soakedWords() string {
	text := fmt.Sprintf("soaked for %s, oven set to %s", s.Figure(), s.Has("set"))
	metal, reach := s.Has("metal"), s.Limit.Low
	switch {
	case metal == "":
		return text + "; the metal was not measured, so nobody knows how hot it got"
	case s.Because == CoolerThanBake:
		return fmt.Sprintf("%s, metal at %s; the bake reaches %s (%s), so the part was warmed and its gas was not driven out", text, metal, reach, s.Source)
	case reach == "":
		return fmt.Sprintf("%s, metal at %s", text, metal)
	}
	return fmt.Sprintf("%s, metal at %s, as hot as the bake (%s)", text, metal, strings.TrimSpace(reach))
}
