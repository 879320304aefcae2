package facts

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Stock is how the things of a shop's register stand: its tools, powder lots,
// fluids and figures of joints. A Stock is safe for concurrent use as long as
// the shop does not change.
type Stock struct {
	shop    *record.Shop
	then    *record.Line // later entries are not looked at; nil looks at all
	unheard bool         // those of which nobody knows whether they are later are
	plain   bool         // sentences are for programs, whatever way of writing the shop chose
}

// StockOf returns the stock of a shop.
func StockOf(shop *record.Shop) *Stock { return &Stock{shop: shop} }

// Units are those in which the shop works, with how it writes.
func (s *Stock) Units() unit.System {
	if s.plain {
		return s.shop.Units.Written(words.Writing{})
	}
	return s.shop.Units
}

// Writing is how sentences have numbers and days.
func (s *Stock) Writing() words.Writing { return s.Units().Writing }

// told returns a named time of an entry.
func (s *Stock) told(name string, at journal.Stamp) Figure {
	return Figure{Name: name, Value: at.Said(words.Writing{}), told: at.Said(s.Writing())}
}

// Plainly returns the stock with sentences for programs: they are the same whatever way of
// writing the shop chose.
func (s *Stock) Plainly() *Stock {
	plain := *s
	plain.plain = true
	return &plain
}

// Shop is the shop whose stock it is.
func (s *Stock) Shop() *record.Shop { return s.shop }

// UpTo returns the stock as it was when an entry was written, with what had
// been written by then on any device.
func (s *Stock) UpTo(then *record.Line) *Stock {
	return &Stock{shop: s.shop, then: then, plain: s.plain}
}

// UpToUnheard returns the stock as it may have been when an entry was written:
// also with what nobody knows to have been written before or after it.
func (s *Stock) UpToUnheard(then *record.Line) *Stock {
	return &Stock{shop: s.shop, then: then, unheard: true, plain: s.plain}
}

// effect returns what counts of a line, as far as it was written by then.
func (s *Stock) effect(l *record.Line) journal.Payload {
	switch {
	case s.then == nil:
		return l.Effect()
	case s.later(l), !l.Counts():
		return nil
	case l.Struck != nil && s.later(l.Struck.Correction()):
		return l.Payload
	default:
		return l.Effect()
	}
}

// later reports whether a line was written after then.
func (s *Stock) later(l *record.Line) bool {
	if s.unheard {
		return knownAfter(l, s.then)
	}
	return After(l, s.then)
}

// stated returns what the lines of a thing of the register state last, and
// where.
func stated[P any](s *Stock, lines []*record.Line) (*P, *record.Line) {
	for _, l := range slices.Backward(lines) {
		if p, ok := any(s.effect(l)).(*P); ok {
			return p, l
		}
	}
	return nil, nil
}

// Lines returns what the register says of a thing, such as tool/tw-1, in the
// order of replay.
func (s *Stock) Lines(thing journal.Subject) []*record.Line {
	return s.shop.Registered(thing)
}

// Lot returns what the register says of a powder lot, and where; nil if its
// receipt is not here.
func (s *Stock) Lot(id journal.LotID) (*journal.PowderLot, *record.Line) {
	return stated[journal.PowderLot](s, s.Lines(journal.Of("lot", string(id))))
}

// Fluid returns what the register says of a container of fluid, and where.
func (s *Stock) Fluid(id journal.FluidID) (*journal.FluidContainer, *record.Line) {
	return stated[journal.FluidContainer](s, s.Lines(journal.Of("fluid", string(id))))
}

// Kit returns what the register says of a kit of parts, and where.
func (s *Stock) Kit(id journal.KitID) (*journal.Kit, *record.Line) {
	return stated[journal.Kit](s, s.Lines(journal.Of("kit", string(id))))
}

// Spec returns a joint's figure as recorded, and where.
func (s *Stock) Spec(id journal.SpecID) (*journal.TorqueSpec, *record.Line) {
	return stated[journal.TorqueSpec](s, s.Lines(journal.Of("spec", string(id))))
}
