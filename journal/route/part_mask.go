package route

import "fettlebook/journal"

// mask follows the masking of the coat that is on now: in at a masking, out at
// an unmasking, and wanted in at every powder.
func (p *partWork) mask() (f maskFacts) {
	var in *event
	powders := 0
	f.Covered = true
	coat := p.coat()
	for i := range coat {
		e := &coat[i]
		switch d := e.data.(type) {
		case *journal.Masking:
			in, f.Done = e, true
			f.Features = 0
			for _, item := range d.Features {
				f.Features += item.Count
			}
			f.Photos += len(e.line.Photos)
			f.rests(e.line)
		case *journal.Unmasking:
			in = nil
		case *journal.Coating:
			powders++
			if in == nil {
				f.Covered = false
				f.undo(e.line, "powder went on while nothing was masked")
			}
		}
	}
	switch {
	case powders == 0 && !f.Done:
		f.wait("nothing is masked yet")
	case powders == 0:
		f.wait("no powder is on yet")
	}
	if f.Done {
		f.say("%d bores, threads and seats masked", f.Features)
	}
	f.Covered = f.Covered && powders > 0
	return f
}

// plugs counts plugs in and out over all coats of the job.
func (p *partWork) plugs() (f plugFacts) {
	for i := range p.events {
		e := &p.events[i]
		switch d := e.data.(type) {
		case *journal.Masking:
			f.In += d.Plugs
			f.Counted = false
			f.rests(e.line)
		case *journal.Unmasking:
			f.Out += d.Plugs
			f.Counted = true
			f.rests(e.line)
		}
	}
	switch {
	case len(f.entries) == 0:
		f.wait("no plug is in yet")
	case !f.Counted:
		f.wait("%d plugs are in and not counted out yet", f.In-f.Out)
	default:
		f.say("%d plugs in, %d counted out", f.In, f.Out)
	}
	return f
}
