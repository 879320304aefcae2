package shop

import (
	"context"
	"slices"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// words of the homes that the register is made of.
func words() []string {
	return []string{"shop", "device", "person", "route", "lot", "fluid", "tool", "spec"}
}

func ofRegister(home journal.Subject) bool {
	return slices.Contains(words(), home.Word())
}

// register is the shop's register: people, devices, cards and things. It is
// the only part of the shop that is in memory whole, without the readings of
// clocks.
type register struct {
	mu     sync.Mutex
	loaded bool
	here   map[journal.Position]*record.Decoded
	folded *record.Shop // nil when it has to be folded anew
}

func newRegister() register { return register{here: make(map[journal.Position]*record.Decoded)} }

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
		r.folded = foldRegister(r.here, nil, s.used(context.WithoutCancel(ctx)))
	}
	return r.folded, nil
}

func foldRegister(here map[journal.Position]*record.Decoded, supposed *record.Decoded, uses record.Uses) *record.Shop {
	book := record.NewBook()
	for _, d := range here {
		book.Take(d)
	}
	if supposed != nil {
		book.Take(supposed)
	}
	return book.Within(nil, uses)
}

// loadRegister reads the register's entries. register.mu is held.
func (s *Shop) loadRegister(ctx context.Context) error {
	var at []journal.Position
	for _, w := range words() {
		rows, err := s.index.Under(ctx, w, journal.ClockCompared)
		if err != nil {
			return err
		}
		for _, r := range rows {
			at = append(at, r.Position)
		}
	}
	logged, err := s.log.Pick(ctx, at)
	if err != nil {
		return err
	}
	for _, l := range logged {
		s.register.here[l.Position] = record.Decode(l)
	}
	s.register.loaded = true
	return nil
}

// take takes in what arrived, if it concerns the register.
func (r *register) take(item index.Item, d *record.Decoded) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.concerns(item) {
		r.here[item.Position] = d
		r.folded = nil
	}
}

// concerns reports whether an entry is about the register, or corrects one
// that is. What is not loaded yet concerns nobody. mu is held.
func (r *register) concerns(item index.Item) bool {
	if !r.loaded || item.Entry == nil || item.Entry.Type.Kind == journal.ClockCompared {
		return false
	}
	if ofRegister(index.Home(item.Entry.Subject)) {
		return true
	}
	c, ok := item.Payload.(*journal.Correction)
	if !ok {
		return false
	}
	for _, d := range r.here {
		if d.Entry() != nil && d.Entry().ID == c.Of {
			return true
		}
	}
	return false
}

// forget drops everything; the register is read anew.
func (r *register) forget() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.loaded, r.folded = false, nil
	clear(r.here)
}
