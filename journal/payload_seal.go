package journal

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal/words"
)

type (
	// Seal is the data of record.sealed: the fingerprint of a job as it was
	// handed over. It says itself which entries it is of, so that anybody can
	// hold them against it, whatever a later program makes of them.
	Seal struct {
		Root    Digest    `json:"root"` // Merkle root (RFC 6962) over the job's entries
		Entries int       `json:"entries" span:"sealed"`
		Covers  []Stretch `json:"covers,omitempty" since:"2"` // in the order in which the root hashes them
		Evidence
	}

	// Stretch is entries of one log that follow each other.
	Stretch struct {
		Log     DeviceID `json:"log"`
		First   int64    `json:"first" span:"log"` // from 0
		Entries int64    `json:"entries" span:"sealed"`
	}
)

func (*Seal) Kind() Kind { return RecordSealed }

func (p *Seal) Say() string {
	return fmt.Sprintf("sealed, %s, hash %s", words.Count(p.Entries, "entry"), p.Root)
}

// Stretches writes positions, in their order, as a seal does.
func Stretches(at []Position) []Stretch {
	var list []Stretch
	for _, p := range at {
		if n := len(list) - 1; n >= 0 && list[n].Log == p.Device && list[n].First+list[n].Entries == p.Index {
			list[n].Entries++
			continue
		}
		list = append(list, Stretch{Log: p.Device, First: p.Index, Entries: 1})
	}
	return list
}

// Positions returns where the entries lie that the seal covers, in the order
// in which its root hashes them; nil of a seal by a program that did not say.
func (p *Seal) Positions() []Position {
	var list []Position
	for _, s := range p.Covers {
		for i := range s.Entries {
			list = append(list, Position{Device: s.Log, Index: s.First + i})
		}
	}
	return list
}

// check holds the stretches against the number, before anybody counts them
// out.
func (p *Seal) check(wrong *problems) {
	if p.Entries < 1 || p.Entries > MaxSealed {
		wrong.add("entries", TooSmall, "must be at least 1 and at most %d", MaxSealed)
		return
	}
	if len(p.Covers) == 0 {
		return
	}
	left := int64(p.Entries)
	for i, s := range p.Covers {
		if s.First < 0 || s.Entries < 1 || s.First >= MaxLog || s.Entries > left {
			wrong.add(fmt.Sprintf("covers.%d", i), Clash, "the entries that a seal covers must be as many as it says, each in a place of a log")
			return
		}
		left -= s.Entries
	}
	if left != 0 {
		wrong.add("covers", Clash, "the entries that a seal covers must be as many as it says")
	}
	at := p.Positions()
	slices.SortFunc(at, func(a, b Position) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.Index, b.Index))
	})
	if len(slices.Compact(at)) != p.Entries {
		wrong.add("covers", Clash, "a seal covers each entry once")
	}
}
