package facts

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

// mask follows the masking of the coat that is on now: in at a masking, out at
// an unmasking, and wanted in at every powder.
func (p *partWork) mask(g *Group) (f card.MaskFacts) {
	in := tally{} // what is masked
	var has []journal.Item
	if p.has != nil {
		has = p.has.Covered()
	}
	masked, powders := false, 0
	f.Covered = true
	coat := p.coat()
	for i := range coat {
		e := &coat[i]
		switch d := e.Data.(type) {
		case *journal.Masking:
			masked, f.Done = true, true
			in.add(d.Features)
			f.Features = in.pieces()
			g.rests(e.Line)
		case *journal.Unmasking:
			masked = false
			clear(in)
		case *journal.Coating:
			powders++
			lacks := in.lacks(has)
			f.Covered = f.Covered && masked && len(lacks) == 0
			if !masked {
				g.undo(e.Line, Masked, PowderUnmasked)
			} else {
				g.lacking(Masked, PowderOnPlace, lacks, e.Line)
			}
		}
	}
	f.Photos = p.photos(MaskingShown, (*partWork).coat, is[journal.Masking])
	if f.Done && f.Photos == 0 {
		g.lack(Statement{Quantity: Masked, Because: NotPhotographed}, nil)
	}
	switch {
	case powders == 0 && !f.Done:
		g.await(Masked, NotMasked)
	case powders == 0:
		g.lacking(Masked, PlaceUnmasked, in.lacks(has), nil)
		g.await(Masked, NoPowder)
	}
	if f.Done {
		g.state(Statement{Quantity: Masked, Value: fmt.Sprint(f.Features), With: []Figure{with("photos", fmt.Sprint(f.Photos))}})
		p.unstated(g)
	}
	f.Covered = f.Covered && powders > 0
	return f
}

// plugs counts plugs in and out over all coats of the job.
func (p *partWork) plugs(g *Group) (f card.PlugFacts) {
	out := tally{} // since the last masking
	back := p.refitted()
	var late *Event
	for i := range p.events {
		e := &p.events[i]
		switch d := e.Data.(type) {
		case *journal.Masking:
			f.In += d.Plugs
			f.Counted, late = false, nil
			clear(out)
			g.rests(e.Line)
		case *journal.Unmasking:
			f.Out += d.Plugs
			f.Counted = true
			g.rests(e.Line)
			if e.after(back) {
				late = e
			} else {
				out.add(d.Features)
			}
		}
	}
	if f.InTime = late == nil; !f.InTime {
		g.undo(back.Line, Plugs, BackBeforePlugs)
	}
	if f.Named = f.Counted; f.Counted && p.has != nil {
		f.Named = p.named(g, Plugs, PlugNotCounted, BackBeforePlug, out.lacks(p.has.Plugged()))
	}
	switch {
	case len(g.Lines) == 0:
		g.await(Plugs, NoPlug)
	case !f.Counted:
		g.pend(Statement{About: g.About, Quantity: Plugs, Value: fmt.Sprint(f.In - f.Out), Met: NotKnown, Sure: NotYet, Because: NotCounted})
	default:
		g.state(plugStatement(f.In, f.Out))
		p.unstated(g)
	}
	return f
}
