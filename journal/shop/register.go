package shop

import (
	"context"
	"maps"
	"slices"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// registerWords are the words of the homes that the register is made of.
func registerWords() []string {
	return []string{"shop", "device", "person", "route", "lot", "fluid", "tool", "spec", "kit"}
}

func ofRegister(home journal.Subject) bool {
	return slices.Contains(registerWords(), home.Word())
}

// register is the shop's register: people, devices, cards and things. It is
// the only part of the shop that is in memory whole, without the readings of
// clocks.
type register struct {
	by     journal.Authority
	mu     sync.Mutex
	loaded bool
	here   map[journal.Position]placed
	ids    map[journal.EntryID]bool // of what is here and of what is corrected here
	folded *record.Shop             // nil when it has to be folded anew
	plain  bool                     // sentences are for programs
}

// placed is an entry as it stands in the order.
type placed struct {
	*record.Decoded
	order.Standing
}

func newRegister(by journal.Authority) register {
	return register{by: by, here: make(map[journal.Position]placed), ids: make(map[journal.EntryID]bool)}
}

// put takes an entry in. mu is held.
func (r *register) put(d placed) {
	r.here[d.Position()] = d
	if e := d.Entry(); e != nil {
		r.ids[e.ID] = true
	}
	if c, ok := d.Payload().(*journal.Correction); ok {
		r.ids[c.Of] = true // which may stand anywhere
	}
}

// registered returns the folded register.
func (s *Shop) registered(ctx context.Context) (*record.Shop, error) {
	r := &s.register
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.loaded {
		if err := s.loadRegister(ctx); err != nil {
			return nil, err
		}
	}
	if r.folded == nil {
		r.folded = r.fold(s.used(context.WithoutCancel(ctx)))
	}
	return r.folded, nil
}

func (r *register) fold(uses record.Uses, supposed ...placed) *record.Shop {
	book := record.NewBook(r.by)
	for _, d := range r.here {
		book.Take(d.Decoded, d.Standing)
	}
	for _, d := range supposed {
		book.Take(d.Decoded, d.Standing)
	}
	folded := book.Within(nil, uses)
	if r.plain {
		folded.Units = folded.Units.Written(words.Writing{})
	}
	return folded
}

// loadRegister reads the register's entries. register.mu is held.
func (s *Shop) loadRegister(ctx context.Context) error {
	var all []index.Row
	for _, w := range registerWords() {
		rows, err := s.index.Under(ctx, w, journal.ClockCompared)
		if err != nil {
			return err
		}
		all = append(all, rows...)
	}
	if err := s.intoRegister(ctx, all); err != nil {
		return err
	}
	s.register.loaded = true
	return nil
}

// intoRegister reads entries into the register, with what has to do with them
// and stands elsewhere. register.mu is held.
func (s *Shop) intoRegister(ctx context.Context, rows []index.Row) error {
	for len(rows) > 0 {
		at := make(map[journal.Position]index.Row)
		for _, r := range rows {
			if _, here := s.register.here[r.Position]; !here {
				at[r.Position] = r
			}
		}
		logged, err := s.log.Pick(ctx, slices.Collect(maps.Keys(at)))
		if err != nil {
			return err
		}
		rows = nil
		for _, l := range logged {
			r := at[l.Position]
			as, err := standing(r)
			if err != nil {
				return err
			}
			d := placed{record.Decode(l), as}
			s.register.put(d)
			more, err := s.targets(ctx, d.Payload())
			if err != nil {
				return err
			}
			rows = append(rows, more...)
			if r.Twin {
				if more, err = s.index.ByID(ctx, r.ID); err != nil {
					return err
				}
				rows = append(rows, more...)
			}
			if ofRegister(r.Home) {
				continue // its corrections stand on the register, or astray of it
			}
			if more, err = s.corrections(ctx, r.ID); err != nil {
				return err
			}
			rows = append(rows, more...)
		}
	}
	return nil
}

// registerChanges takes in an entry that concerns the register, with what has
// to do with it, stands elsewhere and may have come before it.
func (s *Shop) registerChanges(ctx context.Context, item index.Item, d *record.Decoded, as order.Standing) error {
	s.register.mu.Lock()
	defer s.register.mu.Unlock()
	if !s.register.concerns(item) {
		return nil
	}
	s.register.put(placed{d, as})
	s.register.folded = nil
	var rows []index.Row
	var err error
	if home := index.Home(item.Entry.Subject); ofRegister(home) {
		rows, err = s.index.Astray(ctx, home)
	} else {
		rows, err = s.corrections(ctx, item.Entry.ID)
	}
	if err != nil {
		return err
	}
	twins, err := s.index.ByID(ctx, item.Entry.ID)
	if err != nil {
		return err
	}
	of, err := s.targets(ctx, item.Payload)
	if err != nil {
		return err
	}
	return s.intoRegister(ctx, slices.Concat(rows, twins, of))
}

// corrections lists what corrects an entry.
func (s *Shop) corrections(ctx context.Context, id journal.EntryID) ([]index.Row, error) {
	return s.index.Amending(ctx, journal.EntryCorrected, []journal.Subject{journal.EntrySubject(id)})
}

// targets lists what a correction corrects, wherever it stands.
func (s *Shop) targets(ctx context.Context, p journal.Payload) ([]index.Row, error) {
	if c, ok := p.(*journal.Correction); ok {
		return s.index.ByID(ctx, c.Of)
	}
	return nil, nil
}

// concerns reports whether an entry is about the register, corrects one that
// is, or has its id. What is not loaded yet concerns nobody. mu is held.
func (r *register) concerns(item index.Item) bool {
	if !r.loaded || item.Entry == nil {
		return false
	}
	if r.ids[item.Entry.ID] {
		return true
	}
	if c, ok := item.Payload.(*journal.Correction); ok && r.ids[c.Of] {
		return true
	}
	return ofRegister(index.Home(item.Entry.Subject)) && item.Entry.Type.Kind != journal.ClockCompared
}

// forget drops everything; the register is read anew.
func (r *register) forget() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.loaded, r.folded = false, nil
	clear(r.here)
	clear(r.ids)
}
