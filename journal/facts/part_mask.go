package facts

import (
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
				g.undo(e.Line, "powder went on while nothing was masked")
			}
		}
	}
	switch {
	case powders == 0 && !f.Done:
		g.wait("nothing is masked yet")
	case powders == 0:
		g.wait("no powder is on yet")
	}
	if f.Done {
		g.say("%d bores, threads and seats masked", f.Features)
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
		g.wait("no plug is in yet")
	case !f.Counted:
		g.wait("%d plugs are in and not counted out yet", f.In-f.Out)
	default:
		g.say("%d plugs in, %d counted out", f.In, f.Out)
	}
	return f
}
