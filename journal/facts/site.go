package facts

import (
	"iter"
	"maps"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Site is a thing that rules are about: the vehicle, a corner or a part, with
// its facts.
type Site struct {
	Subject journal.Subject
	Scope   card.Scope

	groups groups
	job    *Job
	part   *partWork
	corner *cornerWork
}

// groups are what the groups of facts rest on, by path. What is not about the
// thing itself is asked of what it lies in.
type groups struct {
	about journal.Subject
	of    map[string]*Group
	in    *groups

	writing words.Writing // of the sentences
}

// within makes the groups of a thing that lies in another.
func (g *groups) within(about journal.Subject) groups {
	return groups{about, make(map[string]*Group), g, g.writing}
}

// at makes the group of a path.
func (g *groups) at(path string) *Group {
	g.of[path] = &Group{About: g.about, in: g.writing}
	return g.of[path]
}

func (g *groups) find(path string) *Group {
	for ; g != nil; g = g.in {
		if found := g.of[path]; found != nil {
			return found
		}
	}
	return nil
}

// Job returns what the entries of a job amount to by a card.
func (s *Stock) Job(by *card.Card, job *record.Job) *Job {
	w := newJob(by, job, s)
	about := journal.About(job.ID, "", "")
	v := &Site{Subject: about, groups: (&groups{writing: s.Writing()}).within(about), job: w}
	v.Scope.Vehicle = w.vehicleFacts(&v.groups)
	w.Vehicle = v
	for _, cw := range w.corners {
		about := journal.About(job.ID, cw.corner.Corner, "")
		c := &Site{Subject: about, Scope: v.Scope, groups: v.groups.within(about), job: w, corner: cw}
		c.Scope.Corner = w.cornerFacts(cw, &c.groups)
		if cw.onVehicle() {
			w.Corners = append(w.Corners, c)
		}
		for _, p := range slices.Concat(cw.parts, cw.gone) {
			s := &Site{Subject: p.part.Subject, Scope: c.Scope, groups: c.groups.within(p.part.Subject), job: w, corner: cw, part: p}
			s.Scope.Part = w.partFacts(p, &s.groups)
			w.Parts = append(w.Parts, s)
		}
	}
	return w
}

// Group returns what a group of facts rests on, by its path, such as
// part.mask or corner.joints.banjo; nil if there is none.
func (s *Site) Group(path string) *Group { return s.groups.find(path) }

// Groups yields the groups of facts about the thing itself, by their paths in
// alphabetical order.
func (s *Site) Groups() iter.Seq2[string, *Group] {
	return func(yield func(string, *Group) bool) {
		for _, path := range slices.Sorted(maps.Keys(s.groups.of)) {
			if !yield(path, s.groups.of[path]) {
				return
			}
		}
	}
}

// Events returns what counts for a thing now: of a part, work on coats that
// were stripped counts no more.
func (s *Site) Events() []Event {
	switch {
	case s.part != nil:
		list := make([]Event, 0, len(s.part.events))
		for i, e := range s.part.events {
			if i >= s.part.cycle || !e.is(journal.PerCoat) {
				list = append(list, e)
			}
		}
		return list
	case s.corner != nil:
		return s.corner.events
	default:
		return s.job.vehicle
	}
}

// Covers reports whether a subject is the other one or holds it.
func Covers(wide, narrow journal.Subject) bool {
	return wide == narrow || strings.HasPrefix(string(narrow), string(wide)+"/")
}

// vehicleFacts works out the facts of the vehicle.
func (w *Job) vehicleFacts(g *groups) *card.VehicleFacts {
	at := func(name string) *Group { return g.at("vehicle." + name) }
	return &card.VehicleFacts{
		Arrival: w.arrival(at("arrival")), Stands: w.stands(at("stands")),
		Bleed: w.bleeding(at("bleed")), Order: w.inOrder(at("bleed_order")), Reservoir: w.reservoir(at("reservoir")), Fluid: w.fluid(at("fluid")),
		Leak: w.leak(at("leak")), Pedal: w.pedal(at("pedal")),
		Parking: w.parking(at("parking_brake")), Setting: w.setting(at("parking_brake_set")), Holding: w.holding(at("parking_brake_hold")),
		Defects: w.defects(w.all, at("defects")), Conditions: w.conditions(journal.About(w.job.ID, "", ""), nil, at("conditions")), Road: w.road(at("road")), Second: w.second(at("second")),
	}
}

// cornerFacts works out the facts of a corner.
func (w *Job) cornerFacts(c *cornerWork, g *groups) *card.CornerFacts {
	at := func(name string) *Group { return g.at("corner." + name) }
	f := &card.CornerFacts{
		Name: string(c.corner.Corner), Parts: c.partsBack(at("parts")), MakeUp: c.makeUp(at("makeup")), Bag: c.bag(at("bag")),
		Line: w.line(c, at("line")), Washers: w.washers(c, at("washers")), Joints: make(card.Joints),
		Bleed: w.bleed(c, at("bleed")), Screw: w.screw(c, at("screw")), Wheel: w.wheel(c, at("wheel")),
	}
	for name := range w.card.Joints {
		f.Joints[name] = w.joint(c, name, at("joints."+name))
	}
	return f
}

// partFacts works out the facts of a part.
func (w *Job) partFacts(p *partWork, g *groups) *card.PartFacts {
	at := func(name string) *Group { return g.at("part." + name) }
	return &card.PartFacts{
		Name: p.base,
		Tag:  p.tag(at("tag")), MakeUp: p.makeUp(at("makeup")), Coat: p.wanted(at("coat")), Strip: p.strip(at("strip")), Degrease: p.degrease(at("degrease")), Blast: p.blast(at("blast")),
		Soak: p.soak(at("soak"), w.stock.Units()), Order: p.order(at("order")), Mask: p.mask(at("mask")), Plugs: p.plugs(at("plugs")),
		Powder: w.powder(p, at("powder")), Lot: w.lots(p, at("lot")), Cure: w.cure(p, at("cure")), Heat: w.heat(p, at("heat")),
		Film: w.film(p, at("film")), Adhesion: p.adhesion(at("adhesion")), Dew: p.dew(at("dew"), w.stock.Units()), Defects: w.defects(p.events, at("defects")), Conditions: w.conditions(p.part.Subject, p.refitted(), at("conditions")),
		Seats: p.seats(at("seats")), Rebuild: p.rebuild(at("rebuild")), Refit: p.refit(at("refit")),
	}
}
