package route

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// partsBack looks whether every part of the corner went off and on again.
func (c *cornerWork) partsBack() (f partsFacts) {
	f.Back = len(c.parts) > 0
	for _, p := range c.parts {
		if !slices.Contains(f.Names, p.base) {
			f.Names = append(f.Names, p.base)
		}
		off, _ := last[journal.Removal](p.events, ever)
		back := p.refitted()
		f.rests(off.record())
		switch {
		case off == nil:
			f.Back = false
			f.wait("nobody wrote that the %s came off", p.part.ID)
		case back == nil:
			f.Back = false
			f.wait("the %s is not back on", p.part.ID)
			if fit, _ := last[journal.Refitting](p.events, off.at); fit != nil {
				f.undo(off.line, "the %s was taken off again", p.part.ID)
			}
		default:
			f.rests(back.line)
		}
	}
	if f.Back {
		f.say("back on: %s", strings.Join(f.Names, ", "))
	}
	return f
}

// EmptyBag is the role of the photograph that stands for small parts counted
// back in: the journal has no entry of its own for that.
const EmptyBag = "bag empty"

func (c *cornerWork) bag() (f bagFacts) {
	for _, e := range c.events {
		if b, ok := e.data.(*journal.Bagging); ok {
			f.Done = true
			f.rests(e.line)
			for _, item := range b.Items {
				f.Pieces += item.Count
			}
		}
	}
	if !f.Done {
		f.wait("no bag is written down yet")
		return f
	}
	f.say("%d pieces bagged", f.Pieces)
	fit := lastOf(c.events, func(e event) bool { _, ok := e.data.(*journal.Refitting); return ok })
	empty := lastOf(c.events, func(e event) bool {
		return slices.ContainsFunc(e.line.Photos, func(p record.Photo) bool { return strings.EqualFold(p.Role, EmptyBag) })
	})
	switch {
	case empty == nil:
		f.wait("no photograph shows the bag empty yet")
	case fit == nil || empty.at < fit.at:
		f.rests(empty.line)
		f.undo(fit.record(), "a part went back on after the bag was shown empty")
	default:
		f.Emptied = true
		f.rests(empty.line)
		f.say("a photograph shows the bag empty")
	}
	return f
}

// sealsWithWashers reports whether opening a line at that place asks for new
// washers: everywhere but where its name says that metal seals on metal.
func sealsWithWashers(place string) bool {
	place = strings.ToLower(place)
	for _, word := range []string{"flare", "pipe", "hard line", "reservoir", "master"} {
		if strings.Contains(place, word) {
			return false
		}
	}
	return true
}

// washers counts, joint by joint, the new washers since the last opening.
func (c *cornerWork) washers() (f washerFacts) {
	opened := lastOf(c.events, func(e event) bool {
		o, ok := e.data.(*journal.LineOpening)
		return ok && sealsWithWashers(o.At)
	})
	f.Needed = opened != nil
	counts := make(map[string]int)
	var before *event
	for i := range c.events {
		e := &c.events[i]
		n, ok := e.data.(*journal.Washers)
		if !ok {
			continue
		}
		if e.at < opened.place() {
			before = e
			continue
		}
		counts[jointName(n.Joint)] += n.Count
		f.Photos += len(e.line.Photos)
		f.rests(e.line)
		f.say("%d new %s washers at the %s", n.Count, n.Material, n.Joint)
	}
	for _, joint := range sortedKeys(counts) {
		if !f.Done || counts[joint] < f.Least {
			f.Least = counts[joint]
		}
		f.Done = true
	}
	switch {
	case f.Done:
	case before != nil:
		f.rests(before.line)
		f.undo(opened.line, "the line was opened after the washers went in")
	default:
		f.wait("no new washer is written down yet")
	}
	return f
}

// joint judges one joint of the card: what was tightened since it was last
// loose. A reading outside its specification counts until as many bolts were
// tightened again.
func (w *work) joint(c *cornerWork, name string) *jointFacts {
	f := new(jointFacts)
	is := w.card.Joints[name]
	loose := lastOf(c.events, func(e event) bool { return loosens(e, is) })
	var tight []tightening
	var before *event
	for i := range c.events {
		e := &c.events[i]
		t, ok := e.data.(*journal.Torque)
		if !ok || w.card.joint(t.Joint) != name {
			continue
		}
		if e.at < loose.place() {
			before = e
			continue
		}
		tight = supersede(tight, w.tighten(e, t, name))
	}
	f.Done = len(tight) > 0
	f.Inside, f.Guarded, f.Marked = f.Done, f.Done, f.Done
	for _, t := range tight {
		t.tell(f)
	}
	f.Complete = f.Bolts >= max(1, is.Bolts)
	switch {
	case !f.Done && before != nil:
		f.rests(before.line)
		f.undo(loose.line, "%s", loosening(loose))
	case !f.Done:
		f.wait("the %s is not tightened yet", is.Names[0])
	case !f.Complete:
		f.wait("%d of %d bolts of the %s are tightened", f.Bolts, is.Bolts, is.Names[0])
	}
	return f
}

func loosens(e event, is Joint) bool {
	switch e.data.(type) {
	case *journal.LineOpening:
		return is.Hydraulic
	case *journal.Removal, *journal.Refitting:
		return is.Of != "" && base(e.line.Subject.Part()) == is.Of
	}
	return false
}

func loosening(e *event) string {
	switch d := e.data.(type) {
	case *journal.LineOpening:
		return fmt.Sprintf("the line was opened at %s after the joint was tightened", d.At)
	case *journal.Removal:
		return "the part was taken off after the joint was tightened"
	default:
		return "the part was put on after the joint was tightened"
	}
}

// wheel looks at the two steps of fitting since the last work behind the wheel.
func (w *work) wheel(c *cornerWork) (f wheelFacts) {
	behind := lastOf(c.events, func(e event) bool {
		switch e.data.(type) {
		case *journal.Removal, *journal.Refitting, *journal.LineOpening, *journal.LineConnection:
			return true
		}
		return false
	})
	var snug, full, before *event
	for i := range c.events {
		e := &c.events[i]
		d, ok := e.data.(*journal.WheelFit)
		switch {
		case !ok:
		case e.at < behind.place():
			before = e
		case d.Step == "snug, wheel off the ground":
			snug, full = e, nil
		default:
			full = e
		}
	}
	f.rests(snug.record(), full.record())
	switch {
	case full == nil && snug == nil && before != nil:
		f.rests(before.line)
		f.undo(behind.line, "work went on behind the wheel after it was fitted")
		return f
	case full == nil:
		f.wait("the wheel is not tightened in full on the ground yet")
		return f
	}
	d := full.data.(*journal.WheelFit)
	f.Done, f.Nuts, f.Torque = true, d.Nuts, newtonMetres(d.Torque)
	f.Crosswise = d.Pattern != "in turn"
	f.say("%d nuts at %s on the ground, %s pattern", d.Nuts, d.Torque, d.Pattern)
	if f.TwoSteps = snug != nil; f.TwoSteps {
		s := snug.data.(*journal.WheelFit)
		f.Crosswise = f.Crosswise && s.Pattern != "in turn"
		f.say("snug at %s in the air first", s.Torque)
	} else {
		f.say("nobody wrote that they were snug in the air first")
	}
	f.ToolGood = w.goodTool(&f.ground, d.Tool, full)
	return f
}
