package record

import (
	"cmp"
	"math"
	"slices"

	"fettlebook/journal"
)

// Uses tells how often a thing was used in all the shop by entries that stand
// after one place in the order of replay and not after another.
type Uses func(of journal.Subject, after, upTo uint64) int

// Uses tells how often a thing of the register was used after one entry, up to
// another and with it, over all jobs of the shop; nil is not a bound.
func (s *Shop) Uses(of journal.Subject, after, upTo *Line) int {
	from, to := uint64(0), uint64(math.MaxUint64)
	if after != nil {
		from = after.Place()
	}
	if upTo != nil {
		to = upTo.Place()
	}
	if s.usedAt != nil {
		return s.usedAt(of, from, to)
	}
	s.counting.Do(func() { s.used = s.count() })
	n := 0
	for _, u := range s.used[of] {
		if u.place > from && u.place <= to {
			n += u.times
		}
	}
	return n
}

// used is one use of a thing.
type used struct {
	place uint64
	times int
}

func (s *Shop) count() map[journal.Subject][]used {
	all := make(map[journal.Subject][]used)
	for i := range s.lines {
		if p := s.lines[i].Effect(); p != nil {
			for _, u := range journal.Uses(p) {
				all[u.Of] = append(all[u.Of], used{s.lines[i].Place(), u.Times})
			}
		}
	}
	return all
}

// Staff lists the people who work here now.
func (s *Shop) Staff() []*Person {
	return slices.DeleteFunc(slices.Clone(s.People), func(p *Person) bool { return p.Stated == nil || p.Retired })
}

// Authorised lists who on the register is authorised for a duty, in its order.
func (s *Shop) Authorised(duty journal.Duty) []*Person {
	if duty == journal.OwnerDuty {
		return s.Owners()
	}
	return slices.DeleteFunc(s.Staff(), func(p *Person) bool { return !slices.Contains(p.Stated.Duties, duty) })
}

// Owners lists who owns the shop, in the order of the register: those who are on it as
// owners; in a shop that named none, as those that began before there was the word, who
// founded it, and if that person has left, who has worked there for longest.
func (s *Shop) Owners() []*Person {
	staff := s.Staff()
	named := slices.DeleteFunc(slices.Clone(staff), func(p *Person) bool { return !slices.Contains(p.Stated.Duties, journal.OwnerDuty) })
	if len(named) > 0 || len(staff) == 0 {
		return named
	}
	if i := slices.IndexFunc(staff, func(p *Person) bool { return s.Founded != nil && p.ID == s.Founded.By }); i >= 0 {
		return staff[i : i+1]
	}
	return staff[:1]
}

// Stated lists what the register states under a word: people, and the things
// that entries use, those left out that are only named yet.
func (s *Shop) Stated(word string) []journal.Subject {
	switch word {
	case "person":
		var list []journal.Subject
		for _, p := range s.People {
			if p.Stated != nil {
				list = append(list, journal.Of(word, string(p.ID)))
			}
		}
		return list
	case "tool":
		return stated(word, s.Tools)
	case "lot":
		return stated(word, s.Lots)
	case "fluid":
		return stated(word, s.Fluids)
	case "kit":
		return stated(word, s.Kits)
	case "spec":
		return stated(word, s.Specs)
	}
	return nil
}

func stated[ID ~string, P any](word string, things []*Registered[ID, P]) (list []journal.Subject) {
	for _, r := range things {
		if r.Stated != nil {
			list = append(list, journal.Of(word, string(r.ID)))
		}
	}
	return list
}

// Closings returns of how many entries each closed log counts, by the
// register.
func (s *Shop) Closings() map[journal.DeviceID]int64 { return s.ends }

// Notes returns from which entry on each log says what its device had seen, by
// the register.
func (s *Shop) Notes() map[journal.DeviceID]int64 { return s.notes }

// Partings returns how many entries all histories have in common of each log
// that has several and goes on, by the register.
func (s *Shop) Partings() map[journal.DeviceID]int64 { return s.parted }

// know takes over what the register says of the writers of entries.
func (f *folding) know(register *Shop) {
	if register == nil {
		return
	}
	f.register, f.ends, f.parted = register, register.ends, register.parted
	for _, d := range register.Devices {
		if d.Forked {
			f.forked[d.ID] = true
		}
		if d.revocation != nil {
			f.revoked[d.ID] = d.revocation
		}
	}
}

// adopt puts the things of the register into a fold that has only what its
// own entries say of them, which is no more than their names.
func (s *Shop) adopt(r *Shop) {
	if r == nil {
		return
	}
	s.ID, s.Name, s.Founded, s.Units, s.Naming, s.Lines = r.ID, r.Name, r.Founded, r.Units, r.Naming, r.Lines
	s.people, s.People, s.Devices = r.people, r.People, r.Devices
	s.Tools = with(r.Tools, s.Tools)
	s.Lots = with(r.Lots, s.Lots)
	s.Fluids = with(r.Fluids, s.Fluids)
	s.Kits = with(r.Kits, s.Kits)
	s.Specs = with(r.Specs, s.Specs)
	s.Routes = with(r.Routes, s.Routes)
}

// with returns the things of a register, and those of others that it does not
// know, by name.
func with[ID ~string, P any](register, others []*Registered[ID, P]) []*Registered[ID, P] {
	byID := func(r *Registered[ID, P], id ID) int { return cmp.Compare(r.ID, id) }
	all := register
	for _, o := range others {
		if _, known := slices.BinarySearchFunc(register, o.ID, byID); !known {
			all = append(slices.Clip(all), o)
		}
	}
	if len(all) > len(register) {
		slices.SortFunc(all, func(a, b *Registered[ID, P]) int { return cmp.Compare(a.ID, b.ID) })
	}
	return all
}
