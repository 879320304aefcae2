package record

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/trade/unit"
	"fettlebook/media"
)

// folding is the state of one fold.
type folding struct {
	*Shop
	register *Shop // another fold that knows the register, or nil
	devices  map[journal.DeviceID]*Device
	tools    map[journal.ToolID]*Tool
	lots     map[journal.LotID]*Lot
	fluids   map[journal.FluidID]*Fluid
	kits     map[journal.KitID]*Kit
	specs    map[journal.SpecID]*Spec
	routes   map[journal.RouteID]*Route
	cards    map[journal.CardID]*Card

	// What lines say about other lines.
	withdrawn map[media.Ref]journal.EntryID
	erased    map[journal.CardID]bool
	forked    map[journal.DeviceID]bool
	revoked   map[journal.DeviceID]*Line // the revocation
	offsets   map[journal.DeviceID]*Offset
}

// Shop folds what the book holds.
func (b *Book) Shop() *Shop { return b.Within(nil, nil) }

// Within folds the entries of some things of a shop, such as one job and what
// it rests on. What the register tells of people, devices, tools, lots and the
// like is another fold's; how often a thing was used in all the shop is asked
// of uses. Without a register it folds all the shop.
func (b *Book) Within(register *Shop, uses Uses) *Shop {
	b.sort()
	f := b.lay(b.held, register, uses)
	if held, differs := f.told.heed(b.held, f.lines); differs {
		f = b.lay(held, register, uses)
	}
	for i := range f.lines {
		f.hear(&f.lines[i])
	}
	for i := range f.lines {
		f.judge(&f.lines[i])
		f.place(&f.lines[i])
	}
	f.finish()
	return f.Shop
}

// lay begins a fold of entries in an order, with what corrections make of
// them.
func (b *Book) lay(held []*held, register *Shop, uses Uses) *folding {
	rules := b.rules()
	by := b.authority()
	keys := b.keys()
	if register != nil {
		keys = register.keys
	}
	f := &folding{
		Shop: &Shop{
			Units:  unit.Metric(),
			Naming: journal.ByInitials,
			jobs:   make(map[journal.JobID]*Job),
			runs:   make(map[journal.RunID]*Run),
			people: make(map[journal.PersonID]*Person),
			ends:   rules.ends,
			notes:  rules.notes,
			keys:   keys,
			parted: rules.parts,
		},
		devices:   make(map[journal.DeviceID]*Device),
		tools:     make(map[journal.ToolID]*Tool),
		lots:      make(map[journal.LotID]*Lot),
		fluids:    make(map[journal.FluidID]*Fluid),
		kits:      make(map[journal.KitID]*Kit),
		specs:     make(map[journal.SpecID]*Spec),
		routes:    make(map[journal.RouteID]*Route),
		cards:     make(map[journal.CardID]*Card),
		withdrawn: make(map[media.Ref]journal.EntryID),
		erased:    make(map[journal.CardID]bool),
		forked:    make(map[journal.DeviceID]bool),
		revoked:   make(map[journal.DeviceID]*Line),
		offsets:   make(map[journal.DeviceID]*Offset),
	}
	lines := make([]Line, len(held))
	readable := len(lines)
	for i, h := range held {
		lines[i].seq, lines[i].of = i, f.Shop
		h.weigh(&lines[i], by, h.voidWith(by, keys))
		h.line(&lines[i])
		lines[i].late = b.late[h]
		if h.entry == nil {
			readable = min(readable, i)
		}
	}
	f.lines = lines[:readable]
	for i := range lines[readable:] {
		f.Loose = append(f.Loose, &lines[readable+i])
	}
	f.usedAt = uses
	f.know(register)
	f.ids = newIDs(f.lines)
	f.once()
	correct(f.lines, f.ids)
	for i, l := range f.ids[:max(0, len(f.ids)-1)] {
		if next := f.ids[i+1]; next.ID == l.ID && next.says != l.says {
			l.flag(DoubleID)
			next.flag(DoubleID)
		}
	}
	f.told = f.words()
	return f
}

// hear gathers what a line says about other lines, earlier or later ones.
func (f *folding) hear(l *Line) {
	switch p := l.Effect().(type) {
	case *journal.Withdrawal:
		if f.withdrawn[p.Photo].IsZero() {
			f.withdrawn[p.Photo] = l.ID
		}
	case *journal.CardErasing:
		f.erased[p.Card] = true
	case *journal.ForkFound:
		f.forked[p.Device] = true
	case *journal.Revocation:
		if f.revoked[p.Device] == nil {
			f.revoked[p.Device] = l
		}
	}
}

// judge says about a line what the others tell of it.
func (f *folding) judge(l *Line) {
	at := f.revoked[l.Device]
	revoked := at != nil && l.Taken == nil
	beyond := l.Waits != nil && l.Waits.Why == order.Closed
	_, ended := f.ends[l.Device]
	if _, goesOn := f.parted[l.Device]; goesOn {
		ended = true // what is here is the history that counts
	}
	if f.forked[l.Device] && (beyond || !ended) && l.Taken == nil {
		l.flag(ForkedDevice)
	}
	if revoked && (beyond || !ended && replay(l, at) > 0) {
		l.flag(RevokedDevice)
	}
	if beyond && !revoked && !f.forked[l.Device] {
		l.flag(Waiting)
	}
	for i := range l.Photos {
		photo := &l.Photos[i]
		if photo.Withdrawn = f.withdrawn[photo.Ref]; !photo.Withdrawn.IsZero() {
			l.flag(PhotoWithdrawn)
		}
	}
	l.Clocks.Offset = f.offsets[l.Device]
	if c, ok := l.Effect().(*journal.ClockReading); ok {
		f.offsets[c.Device] = newOffset(l.ID, c)
	}
}

// place puts a line where its subject says.
func (f *folding) place(l *Line) {
	word, rest, _ := strings.Cut(string(l.Subject), "/")
	name, below, _ := strings.Cut(rest, "/")
	switch word {
	case "job":
		f.placeInJob(f.job(journal.JobID(name)), below, l)
	case "run":
		f.placeInRun(f.run(journal.RunID(name)), l)
	case "shop":
		f.Lines = append(f.Lines, l)
		switch p := l.Effect().(type) {
		case *journal.Shop:
			if f.Founded == nil {
				f.Founded, f.ID, f.Name = l, p.Shop, p.Name
			}
		case *journal.Units:
			f.Units = p.Units.Written(f.Units.Writing)
		case *journal.Writing:
			f.Units.Writing, f.Naming = p.In(), p.People
		}
	case "person":
		p := f.person(journal.PersonID(name))
		p.add(l)
		if _, ok := l.Effect().(*journal.Retirement); ok {
			p.Retired = true
		} else if _, ok := l.Effect().(*journal.Person); ok {
			p.Retired = false // taken on again
		}
	case "device":
		f.device(journal.DeviceID(name)).add(l)
	case "tool":
		on(f.tools, journal.ToolID(name)).add(l)
	case "lot":
		on(f.lots, journal.LotID(name)).add(l)
	case "fluid":
		on(f.fluids, journal.FluidID(name)).add(l)
	case "kit":
		on(f.kits, journal.KitID(name)).add(l)
	case "spec":
		on(f.specs, journal.SpecID(name)).add(l)
	case "route":
		on(f.routes, journal.RouteID(name)).add(l)
	case "card":
		on(f.cards, journal.CardID(name)).add(l)
	default:
		f.Loose = append(f.Loose, l)
	}
}

// add takes a line about the thing in.
func (r *Registered[ID, P]) add(l *Line) {
	r.Lines = append(r.Lines, l)
	if p, ok := any(l.Effect()).(*P); ok {
		r.Stated = p
	}
}

// on finds or begins a thing on the register.
func on[ID ~string, P any](m map[ID]*Registered[ID, P], id ID) *Registered[ID, P] {
	r := m[id]
	if r == nil {
		r = &Registered[ID, P]{ID: id}
		m[id] = r
	}
	return r
}

func (f *folding) person(id journal.PersonID) *Person {
	p := f.people[id]
	if p == nil {
		p = new(Person)
		p.ID = id
		f.people[id] = p
	}
	return p
}

func (f *folding) device(id journal.DeviceID) *Device {
	d := f.devices[id]
	if d == nil {
		d = new(Device)
		d.ID = id
		d.revocation = f.revoked[id]
		d.Revoked = d.revocation != nil
		d.Forked = f.forked[id]
		f.devices[id] = d
	}
	return d
}

// finish does what needs every line in its place.
func (f *folding) finish() {
	f.Runs = byName(f.runs)
	for _, r := range f.Runs {
		f.settleRun(r)
	}
	f.Jobs = byName(f.jobs) // after the runs, which may name jobs that are not opened here
	for _, j := range f.Jobs {
		f.settleJob(j)
	}
	f.Vehicles = join(f.Jobs)
	f.Castings = f.castings()
	f.People = byName(f.people)
	f.Devices = byName(f.devices)
	f.Tools = byName(f.tools)
	f.Lots = byName(f.lots)
	f.Fluids = byName(f.fluids)
	f.Kits = byName(f.kits)
	f.Specs = byName(f.specs)
	f.Routes = byName(f.routes)
	f.Cards = byName(f.cards)
	slices.SortFunc(f.Loose, replay)
	f.adopt(f.register)
}
