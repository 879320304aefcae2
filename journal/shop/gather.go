package shop

import (
	"context"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// Finder is what is asked of the index while a case is gathered.
type Finder interface {
	// Whole lists the entries of homes, and those that stand elsewhere and have
	// to do with them; Entries and Astray list each by itself, Entries those of
	// some kinds.
	Whole(ctx context.Context, homes ...journal.Subject) ([]index.Row, error)
	Entries(ctx context.Context, home journal.Subject, kinds ...journal.Kind) ([]index.Row, error)
	Astray(ctx context.Context, home journal.Subject) ([]index.Row, error)
	// Citing lists the entries that cite a thing, stand on it, or cite
	// something in it.
	Citing(ctx context.Context, thing journal.Subject) ([]index.Row, error)
	// Amending lists the corrections, words on an order or withdrawals that cite one of
	// several entries or photographs.
	Amending(ctx context.Context, kind journal.Kind, things []journal.Subject) ([]index.Row, error)
	// Spell lists the entries of a kind in a home between two places, and the
	// last one before them.
	Spell(ctx context.Context, home journal.Subject, kind journal.Kind, after, upto uint64) ([]index.Row, error)
	// Keyed lists the entries that say so of a vehicle or a casting, KeyedHomes
	// the homes of which it is said.
	Keyed(ctx context.Context, text string) ([]index.Row, error)
	KeyedHomes(ctx context.Context, text string) ([]journal.Subject, error)
	ByID(ctx context.Context, id journal.EntryID) ([]index.Row, error)
}

// gathering collects the entries that the record of one home rests on, and
// the questions that it asked on the way. It collects too much rather than too
// little: the fold decides what counts.
type gathering struct {
	ctx   context.Context
	find  Finder
	read  func(context.Context, []index.Row) ([]*record.Decoded, error)
	asked questions

	here   map[journal.Position]*record.Decoded // nil until it is read
	rows   map[journal.Position]index.Row
	queue  []index.Row                           // to be read
	homes  map[journal.Subject]bool              // taken whole
	wanted []journal.Subject                     // of homes, those whose entries are to be asked for
	opened map[journal.Subject]bool              // of which the openings are taken
	ids    map[journal.EntryID]journal.Subject   // of what is here, with its home
	alike  map[journal.EntryID][]*record.Decoded // that are read; of an id that several have, all of them
	stated map[*record.Decoded][]journal.Payload // see says
	struck map[journal.EntryID]bool              // that a correction which is here names
	twins  []journal.EntryID                     // of what is here and is not the only one of its id
	last   uint64                                // the last place of an entry that is here
}

func newGathering(ctx context.Context, find Finder, read func(context.Context, []index.Row) ([]*record.Decoded, error)) *gathering {
	return &gathering{ctx: ctx, find: find, read: read, asked: make(questions), here: make(map[journal.Position]*record.Decoded), rows: make(map[journal.Position]index.Row),
		homes: make(map[journal.Subject]bool), opened: make(map[journal.Subject]bool), ids: make(map[journal.EntryID]journal.Subject), struck: make(map[journal.EntryID]bool),
		alike: make(map[journal.EntryID][]*record.Decoded), stated: make(map[*record.Decoded][]journal.Payload)}
}

// gather collects what a home's record rests on. Of a run that is all its
// jobs too: how its parts stand is theirs to say.
func (g *gathering) gather(home journal.Subject, by journal.Authority) error {
	var err error
	switch {
	case home.Job() != "":
		err = g.job(home)
	case home.Run() != "":
		err = g.run(home)
	default:
		g.home(home)
	}
	if err != nil {
		return err
	}
	if err := g.load(); err != nil {
		return err
	}
	return g.clocks(by)
}

// home wants all entries of a home, and those elsewhere that have to do with
// them. They are here when they are loaded: those of several homes are asked
// for at once.
func (g *gathering) home(home journal.Subject) {
	if !g.homes[home] {
		g.homes[home] = true
		g.wanted = append(g.wanted, home)
		g.asked.ask(inHome(home), whole)
	}
}

// fetch takes the entries of the homes that are wanted. Readings of a clock are
// many and taken for a spell only.
func (g *gathering) fetch() error {
	if len(g.wanted) == 0 {
		return nil
	}
	rows, err := g.find.Whole(g.ctx, g.wanted...)
	if err != nil {
		return err
	}
	g.wanted = nil
	for _, r := range rows {
		if r.Kind != journal.ClockCompared {
			g.take(r)
		}
	}
	return nil
}

func (g *gathering) citing(thing journal.Subject) ([]index.Row, error) {
	g.asked.ask(citing(thing), whole)
	return g.find.Citing(g.ctx, thing)
}

func (g *gathering) keyed(text string) ([]index.Row, error) {
	if text = index.Squash(text); text == "" {
		return nil, nil
	}
	g.asked.ask(keyed(text), whole)
	return g.find.Keyed(g.ctx, text)
}

func (g *gathering) named(id journal.EntryID) ([]index.Row, error) {
	g.asked.ask(named(id), whole)
	return g.find.ByID(g.ctx, id)
}

func (g *gathering) take(r index.Row) {
	if _, ok := g.here[r.Position]; !ok {
		g.here[r.Position], g.rows[r.Position], g.ids[r.ID] = nil, r, r.Home
		g.queue = append(g.queue, r)
		g.last = max(g.last, r.Place)
		if r.Twin {
			g.twins = append(g.twins, r.ID)
		}
	}
}

// twinned takes whatever has the id of an entry that is here: who speaks of one
// of them speaks of all, in whatever home they stand and of whatever kind they
// are.
func (g *gathering) twinned() error {
	for len(g.twins) > 0 {
		id := g.twins[0]
		g.twins = g.twins[1:]
		rows, err := g.named(id)
		if err != nil {
			return err
		}
		for _, r := range rows {
			g.take(r)
		}
	}
	return nil
}

// load reads what was found and is wanted, until nothing that it cites is
// missing.
func (g *gathering) load() error {
	for len(g.wanted)+len(g.queue) > 0 {
		if err := g.fetch(); err != nil {
			return err
		}
		if err := g.twinned(); err != nil {
			return err
		}
		list, err := g.read(g.ctx, g.queue)
		if err != nil {
			return err
		}
		g.queue = g.queue[:0]
		for _, d := range list {
			g.here[d.Position()] = d
			if e := d.Entry(); e != nil {
				g.alike[e.ID] = append(g.alike[e.ID], d)
			}
			if c, ok := d.Payload().(*journal.Correction); ok {
				g.struck[c.Of] = true
			}
		}
		var photos, loose, shared []journal.Subject
		for _, d := range list {
			if err := g.cited(d); err != nil {
				return err
			}
			e := d.Entry()
			if e == nil {
				continue
			}
			for _, s := range d.Cites() {
				if s.Word() == "photo" {
					photos = append(photos, s)
				}
			}
			if !g.homes[index.Home(e.Subject)] || e.Subject.Run() != "" {
				loose = append(loose, journal.EntrySubject(e.ID))
			}
			if e.Subject.Run() != "" {
				shared = append(shared, journal.EntrySubject(e.ID))
			}
		}
		if err := g.those(journal.PhotoWithdrawn, photos); err != nil {
			return err
		}
		if err := g.those(journal.EntryCorrected, loose); err != nil {
			return err
		}
		if err := g.those(journal.OrderStated, shared); err != nil {
			return err
		}
	}
	return nil
}

// cited takes the entries and customer cards that an entry cites.
func (g *gathering) cited(d *record.Decoded) error {
	e := d.Entry()
	if e == nil {
		return nil
	}
	for _, s := range d.Cites() {
		switch s.Word() {
		case "entry":
			id, err := journal.ParseEntryID(s.Last())
			if err != nil {
				continue
			}
			if home, here := g.ids[id]; here && g.homes[home] {
				continue // with any other of the id
			}
			rows, err := g.named(id)
			if err != nil {
				return err
			}
			for _, r := range rows {
				g.take(r)
			}
		case "card":
			g.home(s)
		}
	}
	return nil
}

// those takes the entries of a kind that say something of others or of their
// photographs: what withdraws a photograph, what corrects an entry whose home is
// not here whole, and on which job of a run its order is stated, or was corrected
// to be.
func (g *gathering) those(kind journal.Kind, of []journal.Subject) error {
	for _, s := range of {
		g.asked.ask(citing(s), whole)
	}
	if len(of) == 0 {
		return nil
	}
	rows, err := g.find.Amending(g.ctx, kind, of)
	for _, r := range rows {
		g.take(r)
	}
	return err
}

// in returns the entries of a home that are here, and corrections from
// elsewhere, which may be of them.
func (g *gathering) in(home journal.Subject) []*record.Decoded {
	var list []*record.Decoded
	for _, d := range g.here {
		if d == nil || d.Entry() == nil {
			continue
		}
		if e := d.Entry(); index.Home(e.Subject) == home || e.Type.Kind == journal.EntryCorrected {
			list = append(list, d)
		}
	}
	return list
}

// apart is how far two entries of a device stand apart at least, as places,
// for the readings of its clock between them to be left out: another life of a
// casting may be years ago.
const apart = 7 * 24 * 60 * 60 * 1000 << 16

// clocks takes how the clocks of all devices stood while the entries were
// written.
func (g *gathering) clocks(by journal.Authority) error {
	places := make(map[journal.DeviceID][]uint64)
	for _, d := range g.here {
		if d == nil || d.Entry() == nil {
			continue
		}
		for _, device := range writers(d) {
			places[device] = append(places[device], g.rows[d.Position()].Place)
		}
	}
	for device, list := range places {
		home := journal.Of("device", string(device))
		g.asked.ask(clockOf(home), g.last)
		slices.Sort(list)
		for from := 0; from < len(list); {
			to := from + 1
			for to < len(list) && list[to]-list[to-1] < apart {
				to++
			}
			if err := g.clock(home, list[from], list[to-1], by); err != nil {
				return err
			}
			from = to
		}
	}
	return nil
}

// clock takes the readings of a clock between two places and back to one before
// them that counts.
func (g *gathering) clock(of journal.Subject, after, upto uint64, by journal.Authority) error {
	for {
		rows, err := g.find.Spell(g.ctx, of, journal.ClockCompared, after, upto)
		if err != nil {
			return err
		}
		for _, r := range rows {
			g.take(r)
		}
		if err := g.load(); err != nil {
			return err
		}
		before := slices.DeleteFunc(rows, func(r index.Row) bool { return r.Place > after })
		if len(before) == 0 || before[0].Place == 0 || slices.ContainsFunc(before, func(r index.Row) bool { return g.counts(r, by) }) {
			return nil
		}
		upto = before[0].Place - 1
		after = upto
	}
}

// counts reports whether an entry counts for certain: what a correction names
// may be struck.
func (g *gathering) counts(r index.Row, by journal.Authority) bool {
	d := g.here[r.Position]
	return d != nil && !r.Waiting && d.Void(by) == "" && !g.struck[r.ID]
}

// writers returns whose entry it is: of one that is quoted, the device that
// wrote it, and the one that quotes it, whose the line is if it does not count.
func writers(d *record.Decoded) []journal.DeviceID {
	of, by := d.Entry().Source.Device, d.Wrote().Source.Device
	if of == by {
		return []journal.DeviceID{of}
	}
	return []journal.DeviceID{of, by}
}

// things notes what of the register the entries rest on.
func (g *gathering) things() {
	g.asked.ask(people, whole)
	g.asked.ask(units, whole)
	for _, d := range g.here {
		if d == nil || d.Entry() == nil {
			continue
		}
		for _, device := range writers(d) {
			g.asked.ask(inHome(journal.Of("device", string(device))), whole)
		}
		if d.Quotes() { // perhaps from the hub's log, whose key the founding has
			g.asked.ask(inHome(journal.Of("shop", string(d.Entry().Source.Shop))), whole)
		}
		for _, s := range d.Cites() {
			if ofRegister(s) {
				g.asked.ask(inHome(s), whole)
			}
		}
		if c, ok := d.Payload().(*journal.Correction); ok {
			for _, s := range g.instead(c) {
				if ofRegister(s) {
					g.asked.ask(inHome(s), whole)
				}
			}
		}
	}
}

// instead returns what the replacement of a correction cites.
func (g *gathering) instead(c *journal.Correction) []journal.Subject {
	var list []journal.Subject
	if len(c.Data) == 0 {
		return nil
	}
	for _, d := range g.alike[c.Of] {
		if p, err := journal.ParseReplacement(d.Entry().Type, c.Data); err == nil {
			list = append(list, journal.Cites(p)...)
		}
	}
	return list
}

// book puts what was gathered together, each as it stands in the order.
func (g *gathering) book(by journal.Authority) (*record.Book, error) {
	b := record.NewBook(by)
	for at, d := range g.here {
		if d == nil {
			continue
		}
		s, err := standing(g.rows[at])
		if err != nil {
			return nil, err
		}
		b.Take(d, s)
	}
	return b, nil
}
