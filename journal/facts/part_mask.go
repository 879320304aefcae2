package facts

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

// mask follows the masking of the coat that is on now: in at a masking, out at
// an unmasking, and wanted in at every powder.
func (p *partWork) mask(g *Group) (f card.MaskFacts) {
	var in *Event
	powders := 0
	f.Covered = true
	coat := p.coat()
	for i := range coat {
		e := &coat[i]
		switch d := e.Data.(type) {
		case *journal.Masking:
			in, f.Done = e, true
			f.Features = 0
			for _, item := range d.Features {
				f.Features += item.Count
			}
			f.Photos += len(e.Line.Photos)
			g.rests(e.Line)
		case *journal.Unmasking:
			in = nil
		case *journal.Coating:
			powders++
			if in == nil {
				f.Covered = false
				g.undo(e.Line, Masked, PowderUnmasked)
			}
		}
	}
	switch {
	case powders == 0 && !f.Done:
		g.await(Masked, NotMasked)
	case powders == 0:
		g.await(Masked, NoPowder)
	}
	if f.Done {
		g.state(Statement{Quantity: Masked, Value: fmt.Sprint(f.Features), With: []Figure{with("photos", fmt.Sprint(f.Photos))}})
	}
	f.Covered = f.Covered && powders > 0
	return f
}

// plugs counts plugs in and out over all coats of the job.
func (p *partWork) plugs(g *Group) (f card.PlugFacts) {
	for i := range p.events {
		e := &p.events[i]
		switch d := e.Data.(type) {
		case *journal.Masking:
			f.In += d.Plugs
			f.Counted = false
			g.rests(e.Line)
		case *journal.Unmasking:
			f.Out += d.Plugs
			f.Counted = true
			g.rests(e.Line)
		}
	}
	switch {
	case len(g.Lines) == 0:
		g.await(Plugs, NoPlug)
	case !f.Counted:
		g.pend(Statement{About: g.About, Quantity: Plugs, Value: fmt.Sprint(f.In - f.Out), Met: NotKnown, Sure: NotYet, Because: NotCounted})
	default:
		g.state(plugStatement(f.In, f.Out))
	}
	return f
}
