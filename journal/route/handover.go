package route

import (
	"fmt"
	"slices"

	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// Handover is what a vehicle is handed back with: the holds that are neither
// met nor waived, how the one person of a shop looked at the work again, and
// what is out of the ordinary about how the record came about. No paper of the job keeps it to itself.
type Handover struct {
	Broken  []Verdict
	InDoubt []Verdict
	Open    []Verdict
	OwnLook []facts.Statement // where nobody else looked
	Manner  []facts.Statement // what is out of the ordinary about how the record came about
}

// Handover says with what the vehicle is handed back as the holds stand.
func (v Verdicts) Handover() (h Handover) {
	for _, one := range v.List {
		for state, list := range map[State]*[]Verdict{Broken: &h.Broken, InDoubt: &h.InDoubt, Open: &h.Open} {
			if v := one.standing(state); v != nil {
				*list = append(*list, *v)
			}
		}
		for _, s := range one.Statements {
			told := slices.ContainsFunc(h.OwnLook, func(o facts.Statement) bool { return slices.Equal(o.Entries, s.Entries) })
			if s.Quantity == facts.OwnLook && !told { // several holds may rest on one look
				h.OwnLook = append(h.OwnLook, s)
			}
		}
	}
	return h
}

// HandedBack says with what the vehicle was handed back, by all that had been
// written by then as far as it is known now: what was done or waived later
// changes nothing about it. Without a release it is as the holds stand.
func (c *Held) HandedBack() Handover {
	if c.record.Released == nil || c.card == nil {
		return c.handover()
	}
	then := Hold(c.card, c.record, c.stock.UpTo(c.record.Released))
	for _, other := range c.late {
		if other.record.Released != nil {
			then.Late(Hold(other.card, other.record, other.stock.UpToUnheard(other.record.Released)))
		}
	}
	return then.handover()
}

func (c *Held) handover() Handover {
	h := c.Check().Handover()
	if c.job != nil {
		h.Manner = c.job.Manner()
	}
	return h
}

// Say names the holds in one clause; "" if every one was met or waived.
func (h Handover) Say() string {
	return words.Clauses(words.Fill("handed back with %s not met and not waived", named(h.Broken)),
		words.Fill("handed back with %s in doubt", named(h.InDoubt)), words.Fill("handed back with %s not yet met", named(h.Open)))
}

// Says are the clauses that papers print: the holds, the look of the one person
// of a shop, and what is out of the ordinary about how the record came about.
func (h Handover) Says() (list []string) {
	if text := h.Say(); text != "" {
		list = append(list, text)
	}
	for _, s := range slices.Concat(h.OwnLook, h.Manner) {
		list = append(list, s.Say())
	}
	return list
}

// named names holds, each with what it is about.
func named(list []Verdict) string {
	var names []string
	for _, one := range list {
		names = append(names, fmt.Sprintf("“%s” (%s)", one.Title, one.at()))
	}
	return words.And(names...)
}
