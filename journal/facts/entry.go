package facts

import (
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/bleed"
	"fettlebook/journal/trade/film"
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/trade/vin"
	"fettlebook/journal/words"
)

// Entry is what one entry comes to by itself, with the state of the things
// that it names. What it means for a job stands in the job's groups of facts.
type Entry struct {
	Statements []Statement
	Film       *film.Result // of readings of a film, nil without
	Reservoir  *Balance     // of the reservoir since the first look, nil without
	Bake       *Baked       // of the run that the entry is part of, nil without
}

// Balance is the fluid in a reservoir, step by step.
type Balance struct {
	bleed.Balance
	Reservoir bleed.Reservoir
}

// Baked is the temperatures of a bake.
type Baked struct {
	Series *bake.Series
	Probes []bake.Probe // those that were logged
	Result *bake.Result // by the schedules of the parts, nil without one
}

// where limits of entries come from.
const (
	makers   = "orientation only; the maker’s figure comes first"
	practice = sheet.ShopDefault
)

// Entry works out what an entry comes to. One that is supposed is no other
// than one that is written.
func (s *Stock) Entry(l *record.Line) Entry {
	w := &entry{Stock: s, line: l}
	switch d := l.Effect().(type) {
	case *journal.Job:
		w.vin(d.Vehicle.VIN)
	case *journal.Torque:
		w.torque(d)
	case *journal.WheelFit:
		w.wheel(d)
	case *journal.Retorque:
		w.retorque(d)
	case *journal.Bleed:
		w.screw(d)
		w.fluid(d.Fluid)
		w.balance()
	case *journal.Reservoir:
		w.fluid(d.Fluid)
		w.balance()
	case *journal.FluidContainer:
		w.boiling(d)
		w.fluid(d.Fluid)
	case *journal.FilmReadings:
		w.film(d)
	case *journal.AdhesionTest:
		w.state(adhesionStatement(d))
	case *journal.Coating:
		w.coating(d)
	case *journal.ColourApproval:
		w.approval(d)
	case *journal.PowderLot:
		w.lot(d.Lot)
	case *journal.Blasting:
		w.serviced(d.Cabinet)
	case *journal.Soaking:
		w.soak(d)
		w.serviced(d.Oven)
	case *journal.Masking, *journal.Unmasking:
		w.plugs()
	case *journal.BakeStart:
		w.loaded(d)
		w.serviced(d.Oven)
		w.sensors(d.Probes)
		w.bake(nil)
	case *journal.ProbeTrace:
		w.bake(d)
	case *journal.Cure:
		w.bake(nil)
	case *journal.Rebuild:
		w.kits(d.Kits...)
	case *journal.Washers:
		w.kits(d.Kit)
	case *journal.Refitting:
		w.refit()
	case *journal.Condition:
		w.condition(d, d.Decision)
	case *journal.ConditionRuling:
		w.condition(w.ruled(d.Of), d.Decision)
	case *journal.Claim:
		w.claim(w.line)
	case *journal.ClaimDecision:
		w.settles(d)
	}
	return w.Entry
}

// entry is what an entry comes to, in the making.
type entry struct {
	Entry
	*Stock
	line *record.Line
}

// state adds a statement about the entry.
func (w *entry) state(s Statement) {
	s.in = w.Writing()
	if s.About == "" {
		s.About = w.line.Subject
	}
	if s.Sure == "" {
		s.Sure = Written
	}
	w.Statements = append(w.Statements, s.on(w.line))
}

// warn passes a calculation's warnings on.
func (w *entry) warn(q Quantity, warnings []string, source string, safety bool) {
	for _, text := range warnings {
		w.state(Statement{Quantity: q, Because: Warned, Sure: Reckoned, Source: source, Safety: safety, Result: clause(text)})
	}
}

// vin says whether a VIN's check digit fits, and what may have been meant.
func (w *entry) vin(text string) {
	const source = "49 CFR 565.15 for vehicles built for North America; ISO 3779 for the characters"
	if strings.TrimSpace(text) == "" {
		return
	}
	r := vin.Check(text)
	s := Statement{Quantity: VIN, Value: text, Sure: Reckoned, Source: source, With: []Figure{with("digit", string(r.Digit))}}
	if r.Note != "" {
		note := r.Note
		if len(r.Suggestions) > 0 {
			note += ". It may be " + r.Meant()
		}
		s.Because, s.Result = Warned, clause(note)
	}
	w.state(s)
}

// fluid says what a fluid is, and whether it may still be used.
func (w *entry) fluid(id journal.FluidID) {
	if is := w.FluidAt(id, w.at()); is.Stated != nil {
		w.useBy(Statement{Quantity: FluidUseBy, Of: string(id), With: []Figure{with("grade", string(is.Stated.Grade))}, Safety: true}, is.Due)
	}
}

// lot says whether a powder may still be used.
func (w *entry) lot(id journal.LotID) {
	if is := w.LotAt(id, w.at()); is.Stated != nil {
		w.useBy(Statement{Quantity: LotUseBy, Of: string(id)}, is.Due)
	}
}

// kits says whether what is in kits may still be used.
func (w *entry) kits(ids ...journal.KitID) {
	for _, id := range ids {
		if is, due := w.KitAt(id, w.at()); is != nil {
			w.useBy(Statement{Quantity: KitUseBy, Of: string(id), Safety: true}, due)
		}
	}
}

func (w *entry) useBy(s Statement, d Due) {
	if d.IsZero() {
		return
	}
	s.Value, s.Unit, s.Source = fmt.Sprint(d.Days), "d", words.Capital(onTheBox)
	s.Limit.High = d.On.Format("2006-01-02")
	if d.Past() {
		s.Met = No
	}
	w.state(s)
}

// boiling says what boiling points the grade must have.
func (w *entry) boiling(d *journal.FluidContainer) {
	if b, err := bleed.BoilingOf(bleed.Grade(d.Grade)); err == nil {
		b.In = w.Units().Temperature
		w.state(Statement{Quantity: BoilingPoint, Of: string(d.Grade), Sure: Reckoned, Safety: true, Source: b.Source + "; the grade that the maker names comes first", Result: b})
	}
}

// balance follows the reservoir of the job from the first look at it on.
func (w *entry) balance() {
	j := w.shop.Job(w.line.Subject.Job())
	if j == nil {
		return
	}
	b, ok := w.followFluid(w.events(j.Timeline()), nil)
	if !ok {
		return // a part on its own has no reservoir
	}
	const limit = "never below MIN, looked at between every two corners"
	s := balanceStatement(b)
	s.Quantity, s.Limit, s.Safety, s.Met = FluidSinceFirst, Limit{Words: limit}, true, NotAsked
	w.state(s)
	for _, text := range b.Warnings {
		w.state(Statement{Quantity: FluidBalance, Because: Warned, Sure: Reckoned, Limit: Limit{Words: limit}, Source: b.Source, Safety: true, Result: clause(text)})
	}
	w.Reservoir = &b
}

// events returns what counts of lines.
func (s *Stock) events(lines []*record.Line) (list []Event) {
	for _, l := range lines {
		if data := s.effect(l); data != nil {
			list = append(list, Event{l, data})
		}
	}
	return list
}

// part finds the part that the entry is about, or another; nil if nothing is
// written about it.
func (s *Stock) part(about journal.Subject) *record.Part {
	j := s.shop.Job(about.Job())
	if j == nil {
		return nil
	}
	p, _ := j.Part(about)
	return p
}

// lotOn returns the powder that went on a part last before the entry, or nil.
func (w *entry) lotOn(part journal.Subject) *journal.PowderLot {
	p := w.part(part)
	if p == nil {
		return nil
	}
	coat := lastOf(w.events(p.Timeline()), func(e Event) bool { return is[journal.Coating](e) && !After(e.Line, w.line) })
	if coat == nil {
		return nil
	}
	lot, _ := w.Lot(coat.Data.(*journal.Coating).Lot)
	return lot
}

// soak says how hot the metal was, which the oven alone does not show.
func (w *entry) soak(d *journal.Soaking) {
	held, of := split(d.Held)
	s := Statement{Quantity: MetalSoaked, Value: held, Unit: of, With: []Figure{beside("set", d.Set, w.Units().Temperature, w.Writing())}, Source: practice}
	if d.Metal.IsZero() {
		s.Sure, s.Because = NotProven, MetalNotRead
	} else {
		s.Sure, s.With = Measured, append(s.With, beside("metal", d.Metal, w.Units().Temperature, w.Writing()), shown("below the oven", unit.Show(d.Set.In(unit.Celsius)-d.Metal.In(unit.Celsius), unit.Kelvin, w.Units().Difference, 1)))
		if d.Metal.In(unit.Celsius) > heatAbove() {
			s.With = append(s.With, shown("counts above", w.heatFrom()))
		}
	}
	w.state(s)
}

// plugs counts what went in, came out and is still in, over all coats; where
// plugs are counted out, as it was when that was written.
func (w *entry) plugs() {
	p := w.part(w.line.Subject)
	if p == nil {
		return
	}
	_, unmasking := w.line.Effect().(*journal.Unmasking)
	in, out := 0, 0
	for _, e := range w.events(p.Timeline()) {
		if unmasking && e.after(&Event{Line: w.line}) {
			continue
		}
		switch d := e.Data.(type) {
		case *journal.Masking:
			in += d.Plugs
		case *journal.Unmasking:
			out += d.Plugs
		}
	}
	if in == 0 && out == 0 {
		return
	}
	s := plugStatement(in, out)
	s.Quantity, s.Limit, s.Source, s.Safety = PlugsLeft, Limit{Words: "as many plugs out as in, over all coats"}, practice, true
	switch {
	case in == out:
		s.Met = NotAsked
	case in > out && !unmasking:
		s.Met, s.Sure, s.Because = NotKnown, NotYet, NotCounted
	case in > out:
		s.Because = PlugsMissing
	}
	w.state(s)
}

// plugStatement states how many plugs came out of those that went in.
func plugStatement(in, out int) Statement {
	n := fmt.Sprint(in)
	return Statement{Quantity: Plugs, Value: fmt.Sprint(out), Limit: Limit{Low: n, High: n}, With: []Figure{with("in", n), with("left", fmt.Sprint(in-out))}, Met: met(in == out)}
}
