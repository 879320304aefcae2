package dossier

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
)

// states reports whether entries of a kind state or check a thing of the register
// under a word. What was remarked about a thing may speak of anybody's car.
func states(k journal.Kind, word string) bool {
	switch k {
	case journal.DeviceInvited, journal.ClockCompared: // nothing in a dossier rests on these
		return false
	}
	return slices.Contains(k.Places(), word)
}

// chooseRegister chooses what the register says of whatever the chosen entries
// rest on, until nothing more rests on anything.
func (b *build) chooseRegister() {
	b.takeStated("shop", b.view.Shop.Lines, evidence.ForRegister)
	for _, r := range b.hubKeys().Reigns {
		if r.Change != nil && r.Change.Unsigned() { // which tablets there were, and which agreed
			for _, d := range b.view.Shop.Devices {
				b.takeStated("device", d.Lines, evidence.ForRegister)
			}
		}
	}
	for _, j := range b.jobs {
		b.chooseRoute(j)
	}
	done := make(map[journal.Subject]bool)
	for more := true; more; {
		more = false
		for _, s := range b.restsOn() {
			if !done[s] {
				done[s], more = true, true
				b.chooseThing(s)
			}
		}
	}
}

// restsOn lists the things, devices and people that the chosen entries rest
// on.
func (b *build) restsOn() []journal.Subject {
	found := map[journal.Subject]bool{journal.Of("device", string(b.d.Hub)): true}
	for at, p := range b.picked {
		found[journal.Of("device", string(at.Device))] = true
		l := p.line
		if l == nil {
			continue
		}
		found[journal.Of("device", string(l.Device))] = true // of one that is quoted, its own
		found[journal.Of("person", string(l.By))] = true
		if p.why != evidence.ForJob && p.why != evidence.ForRun {
			continue
		}
		for _, payload := range []journal.Payload{l.Payload, l.Effect()} {
			if payload == nil {
				continue
			}
			for _, s := range journal.Cites(payload) {
				if word := s.Word(); journal.OnShelf(word) || word == "person" {
					found[s] = true
				}
			}
		}
	}
	list := make([]journal.Subject, 0, len(found))
	for s := range found {
		list = append(list, s)
	}
	slices.Sort(list)
	return list
}

// chooseThing chooses what the register states of a thing.
func (b *build) chooseThing(s journal.Subject) {
	word, shop := s.Word(), b.view.Shop
	why := evidence.ForThing
	var lines []*record.Line
	switch word {
	case "device":
		why = evidence.ForRegister
		for _, d := range shop.Devices {
			if string(d.ID) == s.Last() {
				lines = d.Lines
			}
		}
	case "person":
		why = evidence.ForRegister
		if p := shop.Person(journal.PersonID(s.Last())); p != nil {
			lines = p.Lines
		}
	case "tool":
		lines = linesOf(shop.Tools, s)
	case "lot":
		lines = linesOf(shop.Lots, s)
	case "fluid":
		lines = linesOf(shop.Fluids, s)
	case "kit":
		lines = linesOf(shop.Kits, s)
	case "spec":
		lines = linesOf(shop.Specs, s)
	}
	b.takeStated(word, lines, why)
}

func linesOf[ID ~string, P any](list []*record.Registered[ID, P], s journal.Subject) []*record.Line {
	for _, r := range list {
		if string(r.ID) == s.Last() {
			return r.Lines
		}
	}
	return nil
}

// takeStated takes those of a thing's entries that state or check it. Of notes
// that a log says what was seen only those count that say it of more of the log:
// a hub that is witnessed notes its own every day.
func (b *build) takeStated(word string, lines []*record.Line, why evidence.Why) {
	noted := int64(journal.MaxLog) // from where on
	for _, l := range lines {
		switch l.Kind {
		case journal.LogsNoted:
			if n, ok := l.Effect().(*journal.LogNote); ok && n.From < noted {
				noted = n.From
				b.take(l, evidence.ForOrder)
			}
		case journal.LogsClosed, journal.LogsParted:
			b.take(l, evidence.ForOrder)
		default:
			if states(l.Kind, word) {
				b.take(l, why)
			}
		}
	}
}

// chooseRoute chooses the edition of the route card that a job is pinned to.
func (b *build) chooseRoute(j *record.Job) {
	if j.Stated == nil {
		return
	}
	for _, r := range b.view.Shop.Routes {
		for _, l := range r.Lines {
			c, ok := l.Effect().(*journal.RouteCard)
			if !ok || r.ID != j.Stated.Route || c.Edition != max(1, j.Stated.Edition) {
				continue
			}
			b.take(l, evidence.ForRoute)
			if path := routePath(c); b.routes[path] == "" { // the first one holds, as for the job
				b.routes[path] = c.Text
			}
		}
	}
}
